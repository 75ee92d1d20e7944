// Package urdf reads arms from URDF files: a serial chain of six moving axes out
// of the tree of links and joints, with limits, speeds and collision solids.
//
// Of the format it reads what an arm model holds: revolute, continuous,
// prismatic and fixed joints with origin, axis, limit and mimic, and collision
// geometry of boxes, cylinders and spheres. Everything else is named in
// [Arm.Notes] with its place; meshes are replaced by capsules between the joints
// of their link, and say so. It reads neither meshes nor xacro.
//
// URDF has metres and radians; the model has mm and rad. The axes of the model
// are those of the file: the Denavit-Hartenberg rows are found from their lines
// by [kin.FromAxes]. URDF has no accelerations: see [RampTime].
//
// Reading is deterministic and bounded: see [MaxBytes] and the constants by it.
package urdf
