package grader

import "slices"

// CodeDoc is what a finding's code means: one row of the table from which
// findings, posework explain and the reference page all take their words.
type CodeDoc struct {
	Code     string
	Title    string // a few words
	Check    string // the check that raises it
	Severity Severity
	Meaning  string // what was seen
	Why      string // why it matters at a real arm
	Try      string // one thing to try
	Unsafe   string // steps that raise it
	Safe     string // the same job, done safely
}

// Codes returns the table, sorted by code.
func Codes() []CodeDoc {
	all := slices.Concat(codeTables()...)
	slices.SortFunc(all, func(a, b CodeDoc) int {
		switch {
		case a.Code < b.Code:
			return -1
		case a.Code > b.Code:
			return 1
		}
		return 0
	})
	return all
}

// Lookup returns the row for code.
func Lookup(code string) (CodeDoc, bool) {
	for _, table := range codeTables() {
		for i := range table {
			if table[i].Code == code {
				return table[i], true
			}
		}
	}
	return CodeDoc{}, false
}

func codeTables() [][]CodeDoc {
	return [][]CodeDoc{
		reachCodes, roomCodes, speedCodes, clearanceCodes, homeCodes, workCodes,
		traceCodes, handleCodes, handshakeCodes, payloadCodes, measureCodes, proofCodes,
	}
}

// The tables below name facts of the trade as such ("common practice") and take
// limits from the task at hand, never from here.

var reachCodes = []CodeDoc{
	{
		Code: "NO_MOTION", Title: "nothing moves", Check: "reach", Severity: Fail,
		Meaning: "The program has no move at all.",
		Why:     "An arm that does nothing breaks no limit, and shows nothing either: there is no motion to call safe.",
		Try:     "add the moves of the task, home first",
		Unsafe:  "steps:\n  - {pause: 1 s}",
		Safe:    "steps:\n  - {to: home, path: joint, speed: 20 %, end: stop}\n  - {to: chute-over, path: joint, speed: 20 %, end: stop}",
	},
	{
		Code: "OUT_OF_REACH", Title: "the path leaves the arm's reach", Check: "reach", Severity: Fail,
		Meaning: "Somewhere on a line or arc no setting of the axes puts the tool where the path asks for it. The ends may both be reachable: a straight line between them can still pass through places that are not.",
		Why:     "A real controller stops there in the middle of the job, with the tool wherever it happens to be.",
		Try:     "add a pose in between that goes round, or bring the work closer to the arm",
		Unsafe:  "- {to: far-side, path: line, speed: 200 mm/s, end: stop}   # the line passes behind the base",
		Safe:    "- {to: over-front, path: joint, speed: 20 %, end: stop}\n- {to: far-side, path: joint, speed: 20 %, end: stop}",
	},
	{
		Code: "BEYOND_AXIS_LIMIT", Title: "an axis would pass its limit", Check: "reach", Severity: Fail,
		Meaning: "The pose or the path can be had only with an axis beyond one of its limits.",
		Why:     "A real axis stops at its limit and takes the whole arm with it; close to a mechanical stop it can hit hard.",
		Try:     "turn the tool about its own axis by 180 degrees, use another configuration, or change the pose before",
		Unsafe:  "- {to: grip, path: line, speed: 80 mm/s, end: stop}   # needs axis 5 at -131 deg, its limit is -120",
		Safe:    "- {to: grip-turned, path: line, speed: 80 mm/s, end: stop}   # same place, tool turned half round",
	},
	{
		Code: "PATH_SINGULAR", Title: "the path meets a singularity", Check: "reach", Severity: Fail,
		Meaning: "On a line or arc the arm comes to an alignment where axes would have to jump to keep the tool on its path.",
		Why:     "Near an alignment some axes must turn very fast for a slow tool; a real controller faults, or the wrist whips round.",
		Try:     "tilt the tool a little, move the line, or cross with a joint move in free air",
		Unsafe:  "- {to: other-side, path: line, speed: 250 mm/s, end: stop}   # axis 5 passes 0 on the way",
		Safe:    "- {to: other-side, path: joint, speed: 20 %, end: stop}   # free air: a joint move crosses without trouble",
	},
	{
		Code: "CONFIGURATION_FLIP", Title: "the ends need different configurations", Check: "reach", Severity: Fail,
		Meaning: "A line or arc keeps its configuration, but its end was given another one (shoulder, elbow or wrist on the other side).",
		Why:     "Changing the configuration swings the elbow or the wrist through a wide sweep that nobody expects from a short move.",
		Try:     "leave the config out so that the nearest solution is taken, or change configuration with a joint move in free air",
		Unsafe:  "- {to: grip, path: line, speed: 80 mm/s, end: stop}   # grip is written with config: [front, up, flipped]",
		Safe:    "- {to: over-flipped, path: joint, speed: 20 %, end: stop}\n- {to: grip, path: line, speed: 80 mm/s, end: stop}",
	},
}

var roomCodes = []CodeDoc{
	{
		Code: "NEAR_AXIS_LIMIT", Title: "too little room to an axis limit", Check: "axis-room", Severity: Fail,
		Meaning: "An axis comes closer to one of its limits than the task allows.",
		Why:     "A small later change of tool, frame or part then runs the axis into its limit in the middle of a line.",
		Try:     "choose another configuration or turn the tool about its own axis",
		Unsafe:  "poses:\n  rest: {axes: [0, 127, -60, 0, 60, 0]}   # 3 deg from the limit of axis 2",
		Safe:    "poses:\n  rest: {axes: [0, 20, 10, 0, 60, 0]}",
	},
	{
		Code: "NEAR_WRIST_SINGULARITY", Title: "axes 4 and 6 nearly in line", Check: "singularity-room", Severity: Fail,
		Meaning: "On a line or arc axis 5 comes too close to the angle where axes 4 and 6 are in line.",
		Why:     "Axes 4 and 6 must then turn about 1/sin(axis 5) times as fast as the tool: 11 times at 5 degrees. A lower speed hides it, it does not cure it.",
		Try:     "tilt the tool, move the line, or use a joint move where there is free air all round",
		Unsafe:  "- {to: stand-right, path: line, speed: 250 mm/s, end: stop}   # axis 5 runs from 12 to -9 deg",
		Safe:    "- {to: stand-right-tilted, path: line, speed: 250 mm/s, end: stop}   # tool tilted 20 deg, axis 5 stays above 15",
	},
	{
		Code: "NEAR_ELBOW_SINGULARITY", Title: "arm nearly stretched or folded", Check: "singularity-room", Severity: Fail,
		Meaning: "On a line or arc the elbow comes too close to fully stretched or fully folded.",
		Why:     "A stretched arm cannot move further outwards at all, and axes 2 and 3 race when it tries.",
		Try:     "bring the work nearer, or come from another side",
		Unsafe:  "- {to: far, path: line, speed: 150 mm/s, end: stop}   # the arm is stretched at the end",
		Safe:    "- {to: nearer, path: line, speed: 150 mm/s, end: stop}",
	},
	{
		Code: "NEAR_SHOULDER_SINGULARITY", Title: "wrist nearly above axis 1", Check: "singularity-room", Severity: Fail,
		Meaning: "On a line or arc the wrist centre comes too close to axis 1.",
		Why:     "Axis 1 must then spin to keep a slow tool on its line, and the whole arm swings with it.",
		Try:     "lead the line round the base column, or cross with a joint move",
		Unsafe:  "- {to: behind, path: line, speed: 150 mm/s, end: stop}   # passes above the base",
		Safe:    "- {to: behind, path: joint, speed: 20 %, end: stop}",
	},
}

var speedCodes = []CodeDoc{
	{
		Code: "AXIS_OVERSPEED", Title: "an axis is asked for too much", Check: "axis-speed", Severity: Fail,
		Meaning: "To keep the programmed speed an axis would have to turn faster than its limit.",
		Why:     "A real arm either faults or slows down without saying so; either way the tool does not do what the program says.",
		Try:     "lower the speed of this step, or keep it away from singularities",
		Unsafe:  "- {to: right, path: line, speed: 250 mm/s, end: stop}   # axis 4 would need 251 deg/s",
		Safe:    "- {to: right, path: line, speed: 90 mm/s, end: stop}   # axis 4 at 90 deg/s",
	},
	{
		Code: "AXIS_OVERLOAD", Title: "an axis is asked to accelerate too hard", Check: "axis-speed", Severity: Fail,
		Meaning: "To keep the programmed speed along the path an axis would need more than its rated acceleration.",
		Why:     "The arm slows down by itself or faults; the speed in the program is not the speed at the work.",
		Try:     "lower the speed of this step, or make the corner larger",
		Unsafe:  "- {to: b, path: line, speed: 800 mm/s, end: stop}   # axis 5 would need 2500 deg/s2",
		Safe:    "- {to: b, path: line, speed: 300 mm/s, end: stop}",
	},
	{
		Code: "OVERSPEED_MANUAL", Title: "too fast for manual mode", Check: "top-speed, stops-tried", Severity: Stop,
		Meaning: "In manual mode a point of arm, tool or held part moves faster than the reduced speed allows.",
		Why:     "In manual mode a person may stand inside the safeguarded space. ISO 10218-1 limits the tool centre point and the flange to 250 mm/s so that there is time to let go and step back. It is a ceiling, not a target.",
		Try:     "lower the speed of this step; for a joint move lower its share of the axis speeds",
		Unsafe:  "- {to: chute-over, path: joint, speed: 60 %, end: stop}",
		Safe:    "- {to: chute-over, path: joint, speed: 10 %, end: stop}",
	},
	{
		Code: "OVERSPEED_CELL", Title: "faster than this cell allows", Check: "top-speed", Severity: Stop,
		Meaning: "The tool moves faster than the limit set for this cell.",
		Why:     "Stopping distance grows with speed, and the safeguards of a cell are placed for a stated speed.",
		Try:     "lower the speed of this step",
		Unsafe:  "- {to: tray-over, path: line, speed: 1000 mm/s, end: stop}",
		Safe:    "- {to: tray-over, path: line, speed: 600 mm/s, end: stop}",
	},
	{
		Code: "FAST_NEAR_FIXTURE", Title: "too fast near something solid", Check: "speed-near", Severity: Fail,
		Meaning: "The tool is faster than allowed while it, or the part in it, is close to a solid or to a part that lies there.",
		Why:     "Close to a fixture there is no way left to stop in, and a hand may be there to steady or clear something (common practice: slow down within about 100 mm).",
		Try:     "split the move: travel fast in free air to a pose clear of the solid, then go on slowly",
		Unsafe:  "- {to: crate-over, path: line, speed: 600 mm/s, end: stop}   # ends 60 mm above the crate",
		Safe:    "- {to: crate-high, path: line, speed: 600 mm/s, end: stop}\n- {to: crate-over, path: line, speed: 200 mm/s, end: stop}",
	},
}

var clearanceCodes = []CodeDoc{
	{
		Code: "CONTACT", Title: "something is struck", Check: "clearance", Severity: Stop,
		Meaning: "Arm, tool or held part touches or enters a solid, the floor, a loose part or another link where the task allows no contact.",
		Why:     "In a real cell this is a collision: it bends tools, shifts fixtures, and crushes whatever is between.",
		Try:     "add a pose that leads round the solid with room to spare, and look at every link, not only at the tip",
		Unsafe:  "- {to: stand-over, path: joint, speed: 20 %, end: stop}   # straight from the chute, through the guide post",
		Safe:    "- {to: over-post, path: joint, speed: 20 %, end: stop}\n- {to: stand-over, path: joint, speed: 20 %, end: stop}",
	},
	{
		Code: "CLEARANCE_LOW", Title: "too close to something", Check: "clearance", Severity: Fail,
		Meaning: "Arm, tool or held part comes closer to something than the task allows.",
		Why:     "Taught poses, fixtures and parts are never exactly where the drawing says; the gap must cover that, and a hand.",
		Try:     "raise the travel height or move the pose between away from the solid",
		Unsafe:  "- {to: tray-over, path: line, speed: 200 mm/s, end: stop}   # passes 12 mm above the post",
		Safe:    "- {to: tray-high, path: line, speed: 200 mm/s, end: stop}   # passes 90 mm above it",
	},
	{
		Code: "KEEP_OUT_ENTERED", Title: "a keep-out zone is entered", Check: "keeps-out", Severity: Stop,
		Meaning: "Some part of arm, tool or held part enters a zone that is to be kept free.",
		Why:     "The zone is where people walk or reach in, or where something stands that is not drawn. Remember that a zone in an ordinary program is no safety function: only safety-rated limits protect people.",
		Try:     "lead the arm round the zone; the elbow and the back of the arm count too",
		Unsafe:  "- {to: cabinet-side, path: joint, speed: 20 %, end: stop}   # the elbow sweeps through the walkway",
		Safe:    "- {to: in-front, path: joint, speed: 20 %, end: stop}\n- {to: cabinet-side, path: joint, speed: 20 %, end: stop}",
	},
	{
		Code: "ZONE_TOO_FAST", Title: "too fast inside a speed zone", Check: "keeps-out", Severity: Stop,
		Meaning: "A point of arm, tool or held part moves through a zone faster than the zone allows.",
		Why:     "The zone is slow because someone may reach into it or because there is little way to stop in.",
		Try:     "lower the speed of the step that crosses the zone, or go round it",
		Unsafe:  "- {to: tray-over, path: line, speed: 500 mm/s, end: stop}   # the reach-in zone allows 250 mm/s",
		Safe:    "- {to: tray-over, path: line, speed: 240 mm/s, end: stop}",
	},
}

var homeCodes = []CodeDoc{
	{
		Code: "NOT_HOME_AT_START", Title: "does not start at home", Check: "starts-home", Severity: Fail,
		Meaning: "The first motion does not start at the home pose.",
		Why:     "A program that may start anywhere has an unknown first path; the start check at home is what makes the first move a known one.",
		Try:     "make the home pose the first step, reached by a joint move with end: stop",
		Unsafe:  "steps:\n  - {to: chute-over, path: joint, speed: 20 %, end: stop}",
		Safe:    "steps:\n  - {to: home, path: joint, speed: 20 %, end: stop}\n  - {to: chute-over, path: joint, speed: 20 %, end: stop}",
	},
	{
		Code: "NOT_HOME_AT_END", Title: "does not end at home", Check: "ends-home", Severity: Fail,
		Meaning: "The last motion does not end at the home pose.",
		Why:     "The next start, and the next person who opens the gate, count on finding the arm at home.",
		Try:     "make the home pose the last step, with end: stop",
		Unsafe:  "  - {to: crate-over, path: line, speed: 80 mm/s, end: stop}   # the program ends here",
		Safe:    "  - {to: crate-over, path: line, speed: 80 mm/s, end: stop}\n  - {to: home, path: joint, speed: 20 %, end: stop}",
	},
	{
		Code: "HOME_BLENDED", Title: "home is passed by a fly-by", Check: "starts-home, ends-home", Severity: Fail,
		Meaning: "The home pose is a fly-by point, so the arm never really stands at home.",
		Why:     "The start condition needs a definite pose at rest; a rounded home is somewhere else every time the speed changes.",
		Try:     "write end: stop at the home pose",
		Unsafe:  "- {to: home, path: joint, speed: 20 %, end: fly-by 20 mm}",
		Safe:    "- {to: home, path: joint, speed: 20 %, end: stop}",
	},
	{
		Code: "HOME_CLEARANCE", Title: "home is too close to something", Check: "home-quality", Severity: Fail,
		Meaning: "At the home pose a link, the tool or a held part is closer to something than a home pose should be.",
		Why:     "People expect the arm out of the way at home; doors, carts and longer tools need the room.",
		Try:     "raise the pose or draw it back towards the base",
		Unsafe:  "poses:\n  home: {axes: [40, 20, 30, 0, 40, 0]}   # 40 mm from the cabinet",
		Safe:    "poses:\n  home: {axes: [0, -4, 29, 0, 64, 0]}",
	},
	{
		Code: "HOME_NEAR_LIMIT", Title: "home is close to an axis limit", Check: "home-quality", Severity: Fail,
		Meaning: "At the home pose an axis has less room to its limit than a home pose should have.",
		Why:     "From home the arm must be able to leave in any direction.",
		Try:     "turn the axis back towards the middle of its range and record home again",
		Unsafe:  "poses:\n  home: {axes: [0, -92, 60, 0, 60, 0]}   # axis 2 three degrees from its limit",
		Safe:    "poses:\n  home: {axes: [0, -4, 29, 0, 64, 0]}",
	},
	{
		Code: "HOME_NEAR_SINGULARITY", Title: "home is close to a singularity", Check: "home-quality", Severity: Fail,
		Meaning: "At the home pose the arm is close to an alignment.",
		Why:     "The first straight jog from there makes the wrist race, and the way back can end in another configuration.",
		Try:     "bend axis 5 to 20 degrees or more",
		Unsafe:  "poses:\n  home: {axes: [0, 0, 0, 0, 0, 0]}   # axis 5 at zero: axes 4 and 6 in line",
		Safe:    "poses:\n  home: {axes: [0, -4, 29, 0, 64, 0]}",
	},
	{
		Code: "HOME_NOT_VISIBLE", Title: "home is hidden from the gate", Check: "home-quality", Severity: Fail,
		Meaning: "From the place at the gate that the task names, a straight line of sight to the tool or the flange meets something that stands in the cell.",
		Why:     "One look from the gate must tell where the arm is. Whoever can't see it goes in to look (common practice).",
		Try:     "choose a home higher up or nearer to the base, where nothing stands between it and the gate",
		Unsafe:  "poses:\n  home: {axes: [-100, 30, 20, 0, 40, 0]}   # low behind the switch cabinet",
		Safe:    "poses:\n  home: {axes: [0, -4, 29, 0, 65, 0]}",
	},
	{
		Code: "HOME_LEFT_STRAIGHT", Title: "home is left or reached on a straight path", Check: "home-quality", Severity: Fail,
		Meaning: "A line or arc starts or ends at home. Home is left and reached by joint moves.",
		Why:     "A joint move between two known poses works from any configuration; a line from home can meet a limit or an alignment half way.",
		Try:     "write path: joint for the moves from and to home",
		Unsafe:  "- {to: home, path: line, speed: 200 mm/s, end: stop}",
		Safe:    "- {to: home, path: joint, speed: 20 %, end: stop}",
	},
	{
		Code: "WAY_HOME_BLOCKED", Title: "a way home is not clear", Check: "home-quality", Severity: Fail,
		Meaning: "On the way from a station to home something comes too close.",
		Why:     "After a stop someone will send the arm home from just there, perhaps in a hurry.",
		Try:     "leave the station straight along the tool axis first, then rise, then cross to home",
		Unsafe:  "- {to: home, path: joint, speed: 20 %, end: stop}   # straight from inside the crate",
		Safe:    "- {to: crate-over, path: line, speed: 80 mm/s, end: stop}\n- {to: home, path: joint, speed: 20 %, end: stop}",
	},
	{
		Code: "WAY_HOME_MISSING", Title: "a way home was not taught", Check: "home-quality", Severity: Fail,
		Meaning: "The program does not show a way home from a station that the task names.",
		Why:     "A way home that was never taught is one that somebody has to invent after a stop.",
		Try:     "go to the station, then home, before the next station",
		Unsafe:  "- {to: chute, path: joint, speed: 20 %, end: stop}\n- {to: tray, path: joint, speed: 20 %, end: stop}",
		Safe:    "- {to: chute, path: joint, speed: 20 %, end: stop}\n- {to: home, path: joint, speed: 20 %, end: stop}\n- {to: tray, path: joint, speed: 20 %, end: stop}",
	},
}

var workCodes = []CodeDoc{
	{
		Code: "TARGET_MISSED", Title: "a pose of the task is not reached", Check: "visits, approach, retract, handshake", Severity: Fail,
		Meaning: "The tool centre point does not come close enough to a pose of the task, or not in the order asked.",
		Why:     "The job is not done, and the next person will correct it with the guard open.",
		Try:     "compare the pose in your program with the one in the task: frame, signs, tool",
		Unsafe:  "poses:\n  grip: {xyz: [0, 0, 12], rpy: [180, 0, 0], frame: chute}   # 12 mm too high",
		Safe:    "poses:\n  grip: {xyz: [0, 0, 0], rpy: [180, 0, 0], frame: chute}",
	},
	{
		Code: "LEFT_TOO_SOON", Title: "left before the time is up", Check: "visits", Severity: Fail,
		Meaning: "The arm stands at a pose for less time than the task asks for.",
		Why:     "An arm swings a little after it stops. A gauge that is read, or a glue that is pressed, before it has settled tells of the swing and not of the pose.",
		Try:     "put a pause between coming to the pose and leaving it",
		Unsafe:  "- {to: gauge, path: line, speed: 60 mm/s, end: stop}\n- {to: off, path: line, speed: 60 mm/s, end: stop}",
		Safe:    "- {to: gauge, path: line, speed: 60 mm/s, end: stop}\n- {pause: 1 s}\n- {to: off, path: line, speed: 60 mm/s, end: stop}",
	},
	{
		Code: "WRONG_TOOL_SELECTED", Title: "another tool is chosen", Check: "visits, clearance", Severity: Fail,
		Meaning: "The program moves a tool other than the one that the arm carries for this task.",
		Why:     "Every pose, every speed limit and every clearance is reckoned for a tool that is not there; the real one is longer, wider or heavier.",
		Try:     "name the tool that the arm carries in the first lines: tool: cups",
		Unsafe:  "tool: nozzle   # left over from the last job; the cups are on the arm",
		Safe:    "tool: cups",
	},
	{
		Code: "ORIENTATION_OFF", Title: "the tool is turned the wrong way", Check: "visits, approach", Severity: Fail,
		Meaning: "The tool reaches the place, but its orientation differs by more than the task allows.",
		Why:     "A cup that meets a bar at an angle leaks; a blade that meets it at an angle slips.",
		Try:     "check rpy: rotations about the fixed x, then y, then z axis of the frame",
		Unsafe:  "poses:\n  grip: {xyz: [0, 0, 0], rpy: [176, 0, 0], frame: chute}",
		Safe:    "poses:\n  grip: {xyz: [0, 0, 0], rpy: [180, 0, 0], frame: chute}",
	},
	{
		Code: "BLEND_AT_WORK_POSE", Title: "a work pose is passed by a fly-by", Check: "visits, approach, retract", Severity: Fail,
		Meaning: "A pose where the arm must come to rest is written as a fly-by point.",
		Why:     "Gripping, releasing and waiting need rest, and a rounded point is never reached exactly.",
		Try:     "write end: stop at this pose",
		Unsafe:  "- {to: grip, path: line, speed: 80 mm/s, end: fly-by 5 mm}",
		Safe:    "- {to: grip, path: line, speed: 80 mm/s, end: stop}",
	},
	{
		Code: "STOP_IN_FREE_AIR", Title: "a stop where none is asked", Check: "visits", Severity: Fail,
		Meaning: "A pose that the task asks to pass by a fly-by is written as a stop-point.",
		Why:     "Needless stops cost time in every cycle and wear the arm; time is better won here than at the work.",
		Try:     "write end: fly-by with a radius that keeps the clearance",
		Unsafe:  "- {to: over-post, path: joint, speed: 20 %, end: stop}",
		Safe:    "- {to: over-post, path: joint, speed: 20 %, end: fly-by 20 mm}",
	},
	{
		Code: "NO_APPROACH", Title: "no straight approach", Check: "approach", Severity: Fail,
		Meaning: "The last stretch to the work pose is not a straight line.",
		Why:     "A joint move bulges: between two safe poses the tool can swing into the fixture. A straight line is a known path.",
		Try:     "add an approach pose 50 to 100 mm out along the tool axis and go in from there with path: line",
		Unsafe:  "- {to: grip, path: joint, speed: 10 %, end: stop}",
		Safe:    "- {to: grip-over, path: joint, speed: 20 %, end: stop}\n- {to: grip, path: line, speed: 80 mm/s, end: stop}",
	},
	{
		Code: "APPROACH_TOO_LOW", Title: "the straight approach is too short", Check: "approach", Severity: Fail,
		Meaning: "The straight line to the work pose starts closer to it than the task allows.",
		Why:     "A short approach turns sideways travel into travel between the walls of the fixture.",
		Try:     "move the approach pose further out along the tool axis",
		Unsafe:  "poses:\n  grip-over: {xyz: [0, 0, 15], rpy: [180, 0, 0], frame: chute}",
		Safe:    "poses:\n  grip-over: {xyz: [0, 0, 80], rpy: [180, 0, 0], frame: chute}",
	},
	{
		Code: "APPROACH_TOO_HIGH", Title: "the straight approach is too long", Check: "approach", Severity: Fail,
		Meaning: "The straight line to the work pose starts further out than the task allows.",
		Why:     "A long slow line costs time in every cycle, and people then make it fast.",
		Try:     "move the approach pose closer along the tool axis",
		Unsafe:  "poses:\n  grip-over: {xyz: [0, 0, 240], rpy: [180, 0, 0], frame: chute}",
		Safe:    "poses:\n  grip-over: {xyz: [0, 0, 80], rpy: [180, 0, 0], frame: chute}",
	},
	{
		Code: "APPROACH_TILTED", Title: "the approach is not along the tool axis", Check: "approach", Severity: Fail,
		Meaning: "The straight line to the work pose makes too large an angle with the tool axis, or the tool turns on the way.",
		Why:     "Coming in at an angle drags the tool along the part and the walls beside it.",
		Try:     "give the approach pose the same orientation and place it straight out along the tool axis",
		Unsafe:  "poses:\n  grip-over: {xyz: [25, 0, 80], rpy: [180, 0, 0], frame: chute}",
		Safe:    "poses:\n  grip-over: {xyz: [0, 0, 80], rpy: [180, 0, 0], frame: chute}",
	},
	{
		Code: "FAST_APPROACH", Title: "too fast on the last stretch", Check: "approach", Severity: Fail,
		Meaning: "Within the last stretch before the work pose the tool is faster than the task allows.",
		Why:     "Near the part there is no way left to stop in, and fingers get pinched between tool and rim (common practice: 20 to 100 mm/s).",
		Try:     "lower the speed of the line to the work pose",
		Unsafe:  "- {to: grip, path: line, speed: 200 mm/s, end: stop}",
		Safe:    "- {to: grip, path: line, speed: 80 mm/s, end: stop}",
	},
	{
		Code: "NO_RETRACT", Title: "no straight way out", Check: "retract", Severity: Fail,
		Meaning: "The first stretch away from the work pose is not a straight line.",
		Why:     "Leaving a fixture by a joint move can sweep tool or part through its wall.",
		Try:     "go back to the approach pose with path: line first",
		Unsafe:  "- {to: home, path: joint, speed: 20 %, end: stop}   # from the grip pose",
		Safe:    "- {to: grip-over, path: line, speed: 80 mm/s, end: stop}\n- {to: home, path: joint, speed: 20 %, end: stop}",
	},
	{
		Code: "RETRACT_TOO_LOW", Title: "the straight way out is too short", Check: "retract", Severity: Fail,
		Meaning: "The straight line away from the work pose ends closer to it than the task allows.",
		Why:     "The sideways move then begins between the walls of the fixture.",
		Try:     "end the way out at the approach pose or further",
		Unsafe:  "- {to: grip-low, path: line, speed: 80 mm/s, end: stop}   # 15 mm up, then sideways",
		Safe:    "- {to: grip-over, path: line, speed: 80 mm/s, end: stop}   # 80 mm up",
	},
	{
		Code: "RETRACT_TILTED", Title: "the way out is not along the tool axis", Check: "retract", Severity: Fail,
		Meaning: "The straight line away from the work pose makes too large an angle with the tool axis, or the tool turns on the way.",
		Why:     "Pulling out at an angle drags the part along the wall.",
		Try:     "leave straight back along the tool axis",
		Unsafe:  "- {to: beside, path: line, speed: 80 mm/s, end: stop}",
		Safe:    "- {to: grip-over, path: line, speed: 80 mm/s, end: stop}",
	},
	{
		Code: "FAST_RETRACT", Title: "too fast on the first stretch out", Check: "retract", Severity: Fail,
		Meaning: "Within the first stretch away from the work pose the tool is faster than the task allows.",
		Why:     "A part that sticks or was gripped badly shows itself on the first millimetres; slowly, that is a nuisance, fast it is a thrown part.",
		Try:     "lower the speed of the line out",
		Unsafe:  "- {to: grip-over, path: line, speed: 250 mm/s, end: stop}",
		Safe:    "- {to: grip-over, path: line, speed: 80 mm/s, end: stop}",
	},
	{
		Code: "CYCLE_TARGET", Title: "the program takes too long", Check: "cycle-time", Severity: Fail,
		Meaning: "The program needs more time than the task allows.",
		Why:     "Time is won in waits and detours, never by dropping approach moves or by passing a speed limit.",
		Try:     "look for needless stops in free air and for detours",
		Unsafe:  "- {to: via-1, path: joint, speed: 20 %, end: stop}   # a stop in free air",
		Safe:    "- {to: via-1, path: joint, speed: 20 %, end: fly-by 20 mm}",
	},
}
