package urdf

import "posework/engine/diag"

// Codes holds the kinds of diagnostic that this package raises, by ID. Those from
// U101 on are notes: the arm can be used, but the file says more than it holds.
var Codes = []diag.Code{
	{
		ID: "U001", Title: "URDF file too large",
		Meaning: "A URDF file may have at most 1024 kB, 20,000 elements and 24 levels.",
		Bad:     "a file with meshes inside", Good: "<robot name=\"oak\"> ... </robot>",
	},
	{
		ID: "U002", Title: "not XML",
		Meaning: "URDF is XML: every element is closed, values stand in quotes, & is written &amp;.",
		Bad:     "<link name=base>", Good: "<link name=\"base\"/>",
	},
	{
		ID: "U003", Title: "not a URDF robot",
		Meaning: "The file holds something else than one <robot>: a xacro macro, which has to be expanded first, a declaration, or another kind of XML.",
		Bad:     "<xacro:macro name=\"arm\">", Good: "<robot name=\"oak\"> ... </robot>",
	},
	{
		ID: "U004", Title: "name missing or given twice",
		Meaning: "The robot, its links and its joints have names, each once.",
		Bad:     "<link/>", Good: "<link name=\"base\"/>",
	},
	{
		ID: "U005", Title: "joint of unknown links",
		Meaning: "A joint names a parent and a child among the links of the file.",
		Bad:     "<joint name=\"a1\" type=\"fixed\"><child link=\"arm\"/></joint>", Good: "<joint name=\"a1\" type=\"fixed\"><parent link=\"base\"/><child link=\"arm\"/></joint>",
	},
	{
		ID: "U006", Title: "links form no tree",
		Meaning: "Every link but one has exactly one parent, and no link is its own ancestor.",
		Bad:     "two joints with the child \"arm\"", Good: "one joint with the child \"arm\"",
	},
	{
		ID: "U007", Title: "joint type",
		Meaning: "The joints of the arm are revolute, continuous, prismatic or fixed. Floating and planar joints have no single axis.",
		Bad:     "type=\"planar\"", Good: "type=\"revolute\"",
	},
	{
		ID: "U008", Title: "axis without a direction",
		Meaning: "The axis of a moving joint is a direction, not 0 0 0.",
		Bad:     "<axis xyz=\"0 0 0\"/>", Good: "<axis xyz=\"0 0 1\"/>",
	},
	{
		ID: "U009", Title: "limits of an axis",
		Meaning: "A revolute or prismatic joint has finite limits, the lower one first, of at most two turns or 100 m. Room to a limit can't be judged without them.",
		Bad:     "<limit velocity=\"2\"/>", Good: "<limit lower=\"-2.9\" upper=\"2.9\" velocity=\"2\" effort=\"0\"/>",
	},
	{
		ID: "U010", Title: "speed of an axis",
		Meaning: "Every moving joint has a rated speed (velocity) of more than 0: the time law of a motion comes from it.",
		Bad:     "<limit lower=\"-2.9\" upper=\"2.9\" effort=\"0\"/>", Good: "<limit lower=\"-2.9\" upper=\"2.9\" velocity=\"2\" effort=\"0\"/>",
	},
	{
		ID: "U011", Title: "not six axes",
		Meaning: "Posework moves arms of six axes between base and flange.",
		Bad:     "a chain of seven revolute joints", Good: "a chain of six",
	},
	{
		ID: "U012", Title: "chain branches",
		Meaning: "The tree has several ends with six axes before them, or the end that was asked for is not there. Name the link that is the flange.",
		Bad:     "arm: two.urdf", Good: "arm: {file: two.urdf, tip: flange-left}",
	},
	{
		ID: "U013", Title: "axis that follows another",
		Meaning: "A joint with mimic is driven by another joint and is no axis of its own, so it can't be one of the six.",
		Bad:     "<joint name=\"a3\" ...><mimic joint=\"a2\"/></joint>", Good: "<joint name=\"a3\" ...></joint>",
	},
	{
		ID: "U014", Title: "not a number",
		Meaning: "A value is a finite decimal number, or three of them with blanks between.",
		Bad:     "xyz=\"0, 0, 1\"", Good: "xyz=\"0 0 1\"",
	},
	{
		ID: "U015", Title: "size of a solid",
		Meaning: "Collision solids measure from 0.01 mm to 100 m.",
		Bad:     "<box size=\"0.1 0 0.1\"/>", Good: "<box size=\"0.1 0.2 0.1\"/>",
	},
	{
		ID: "U016", Title: "too many solids",
		Meaning: "An arm may carry at most 200 collision solids.",
		Bad:     "300 <collision> elements", Good: "one or two a link",
	},
	{
		ID: "U101", Title: "part of the file not used",
		Meaning: "A note: elements of this kind are not part of an arm model, and are passed over.",
		Bad:     "<gazebo> ... </gazebo>", Good: "nothing to mend",
	},
	{
		ID: "U102", Title: "mesh replaced",
		Meaning: "A note: meshes are not read. Capsules between the joints of the link stand for the mesh, so clearances are rough.",
		Bad:     "<mesh filename=\"arm.stl\"/>", Good: "<cylinder radius=\"0.07\" length=\"0.4\"/>",
	},
	{
		ID: "U103", Title: "continuous axis",
		Meaning: "A note: a continuous joint has no limits. It is taken with one turn to either side.",
		Bad:     "type=\"continuous\"", Good: "type=\"revolute\" with a limit",
	},
	{
		ID: "U104", Title: "accelerations assumed",
		Meaning: "A note: URDF has no accelerations. Every axis is taken to reach its rated speed in 0.25 s.",
		Bad:     "any URDF file", Good: "an arm file (posework: arm/1) with accelerations",
	},
	{
		ID: "U105", Title: "axes taken as parallel",
		Meaning: "A note: two axes are so nearly parallel that the difference is rounding. They are taken as parallel.",
		Bad:     "rpy=\"3.14159 0 0\"", Good: "rpy=\"3.141592653589793 0 0\"",
	},
	{
		ID: "U106", Title: "branch stands still",
		Meaning: "A note: joints beside the chain to the flange, such as a gripper's, stand still in their zero position.",
		Bad:     "the joints of a gripper", Good: "the gripper as a tool of the cell",
	},
}
