package tui

// The actions of the practice screen.
const (
	gripDevice action = iota + 100
	releaseDevice
	squeezeDevice
	emergency
	resetStop
	stopMotion
	otherMode
	moveGate
	slower
	faster
	stepOn
	stepBack
	runOn
	bringBack
	setUpCell
	nextArea
	lastArea
	undoChange
	redoChange
	jogMinus
	jogPlus
	otherJog
	nextFrame
	nextIncrement
	recordPose
	recordAgain
	renamePose
	deleteIt
	goToPose
	goStraight
	otherForm
	addStep
	addWithin
	editStep
	copyStep
	pasteStep
	stepUp
	stepDown
	switchOver
	turnLeft
	turnRight
	tiltUp
	tiltDown
	zoomIn
	zoomOut
	panLeft
	panRight
	panUp
	panDown
	fitView
	nextView
	showNames
	otherGlyphs
	clearTrace
	choiceDown
	choiceUp
	anyway
	teachFrame
	teachTool
	nextTool
)

// area is what the keys of the practice screen are about.
type area uint8

const (
	inMove area = iota
	inPoses
	inSteps
	inSignals
	inView
	areas
)

func (a area) String() string {
	return [...]string{"Move", "Poses", "Steps", "Signals", "View"}[a]
}

// held are the controls that move the arm as long as their key repeats.
var held = map[action]bool{jogMinus: true, jogPlus: true, stepOn: true, stepBack: true, runOn: true, bringBack: true, goToPose: true, goStraight: true}

var deviceKeys = []key{
	{gripDevice, []string{" "}, "space", "hold device", "hold the enabling device in its middle; it relaxes by itself"},
	{releaseDevice, []string{"z"}, "z", "", "let the enabling device go"},
	{squeezeDevice, []string{"x"}, "x", "", "squeeze the enabling device past its middle"},
	{stopMotion, []string{"s"}, "s", "stop", "stop the arm on its path"},
	{emergency, []string{"!"}, "!", "", "press the emergency stop; once it is in, unlatch it"},
	{resetStop, []string{"k"}, "k", "", "reset a stop whose cause is gone; nothing starts by it"},
	{otherMode, []string{"m"}, "m", "", "manual or automatic mode"},
	{moveGate, []string{"o"}, "o", "", "open or close the gate in the fence"},
	{slower, []string{"["}, "[", "", "a lower speed step"},
	{faster, []string{"]"}, "]", "", "a higher speed step"},
}

var programKeys = []key{
	{stepOn, []string{"."}, ".", "next step", "hold: the next step of the program, to its end"},
	{stepBack, []string{","}, ",", "", "hold: back to where this step or the one before began"},
	{runOn, []string{"/"}, "/", "run", "hold: run on to the end; in automatic mode: start the program"},
	{bringBack, []string{"b"}, "b", "", "hold: bring the arm back to where the program was left"},
	{setUpCell, []string{"e"}, "e", "", "set the cell up as at the start, the program at its first step"},
	{handIn, []string{"h"}, "h", "hand in", "hand the program in, with the log of your practice"},
	{undoChange, []string{"u"}, "u", "", "take the last change of the program back"},
	{redoChange, []string{"y"}, "y", "", "do again what was taken back"},
}

var areaKeys = []key{
	{nextArea, []string{"tab"}, "tab", "panel", "to the next panel: move, poses, steps, signals, view"},
	{lastArea, []string{"shift+tab"}, "shift+tab", "", "to the panel before"},
}

var viewAnywhere = []key{
	{nextView, []string{"v"}, "v", "", "look from the corner, the front, the side, above"},
	{fitView, []string{"0"}, "0", "", "bring the work into the picture, or the whole cell"},
	{zoomIn, []string{"+", "="}, "+", "", "nearer"},
	{zoomOut, []string{"-"}, "-", "", "further away"},
}

var practiceLeaving = key{leave, []string{"esc"}, "esc", "back", "stop the arm; when it stands: back to the lesson"}

// practiceKeys are the keys of the practice screen by area.
func practiceKeys(in area) keyTable {
	var own []key
	switch in {
	case inMove:
		own = []key{
			{goUp, []string{"up"}, "up", "", "the axis or direction before"},
			{goDown, []string{"down"}, "down", "choose", "the next axis or direction"},
			{jogMinus, []string{"left"}, "left", "", "hold: move it towards -"},
			{jogPlus, []string{"right"}, "right", "move", "hold: move it towards +"},
			{otherJog, []string{"j"}, "j", "by axis/straight", "move by axis, or straight along and about the axes of a frame"},
			{nextFrame, []string{"f"}, "f", "frame", "the next frame: base, tool, task frames"},
			{nextIncrement, []string{"i"}, "i", "increment", "move as long as a key is held, or by an increment"},
			{nextTool, []string{"t"}, "t", "", "carry the next tool"},
			{recordPose, []string{"r"}, "r", "record", "record a pose where the arm stands"},
		}
	case inPoses:
		own = []key{
			{goUp, []string{"up"}, "up", "", "one pose up"},
			{goDown, []string{"down"}, "down", "choose", "one pose down"},
			{goToPose, []string{"g"}, "g", "go there", "hold: turn all axes to the pose, by a joint move"},
			{goStraight, []string{"l"}, "l", "", "hold: move the tool to the pose in a straight line"},
			{recordPose, []string{"r"}, "r", "record", "record a pose where the arm stands"},
			{recordAgain, []string{"t"}, "t", "teach again", "give the chosen pose the place where the arm stands"},
			{renamePose, []string{"n"}, "n", "name", "give the chosen pose another name"},
			{deleteIt, []string{"d", "delete"}, "d", "delete", "delete the chosen pose; asks when steps use it"},
			{otherForm, []string{"w"}, "w", "", "record by axes, or in the frame that f chooses"},
			{nextFrame, []string{"f"}, "f", "", "the next frame"},
			{teachFrame, []string{"F"}, "F", "", "teach a frame by three poses"},
			{teachTool, []string{"T"}, "T", "", "teach a tool centre point by four touches or more"},
			{open, []string{"enter"}, "enter", "", "look at the chosen pose in the picture"},
		}
	case inSteps:
		own = []key{
			{goUp, []string{"up"}, "up", "", "one step up"},
			{goDown, []string{"down"}, "down", "choose", "one step down"},
			{editStep, []string{"enter"}, "enter", "edit", "change the chosen step, field by field"},
			{addStep, []string{"a"}, "a", "add", "add a step after the chosen one"},
			{addWithin, []string{"w"}, "w", "", "add a step within the chosen repeat"},
			{copyStep, []string{"c"}, "c", "", "copy the chosen step"},
			{pasteStep, []string{"p"}, "p", "", "paste the copied step after the chosen one"},
			{deleteIt, []string{"d", "delete"}, "d", "delete", "delete the chosen step"},
			{stepUp, []string{"shift+up", "<"}, "<", "", "move the chosen step up"},
			{stepDown, []string{"shift+down", ">"}, ">", "", "move the chosen step down"},
		}
	case inSignals:
		own = []key{
			{goUp, []string{"up"}, "up", "", "one signal up"},
			{goDown, []string{"down"}, "down", "choose", "one signal down"},
			{switchOver, []string{"enter", "right", "left"}, "enter", "switch", "switch the chosen output over"},
		}
	case inView:
		return append(append(keyTable{
			{turnLeft, []string{"left"}, "left", "", "walk round the cell to the left"},
			{turnRight, []string{"right"}, "right", "turn", "walk round the cell to the right"},
			{tiltUp, []string{"up"}, "up", "", "look from higher up"},
			{tiltDown, []string{"down"}, "down", "tilt", "look from lower down"},
			{panUp, []string{"shift+up", "pgup"}, "page up", "", "move the picture: what lies above"},
			{panDown, []string{"shift+down", "pgdown"}, "page down", "", "what lies below"},
			{panLeft, []string{"shift+left", "home"}, "home", "", "what lies left"},
			{panRight, []string{"shift+right", "end"}, "end", "", "what lies right"},
			{showNames, []string{"n"}, "n", "names", "names of things, or none"},
			{otherGlyphs, []string{"g"}, "g", "", "dots, or letters and signs where dots have gaps"},
			{clearTrace, []string{"c"}, "c", "", "clear the path that the tool has drawn"},
		}, viewAnywhere...), append(append(areaKeys, deviceKeys...), practiceLeaving)...)
	}
	t := append(keyTable{deviceKeys[0]}, areaKeys...)
	t = append(t, own...)
	t = append(t, deviceKeys[1:]...)
	t = append(t, programKeys...)
	t = append(t, viewAnywhere...)
	return append(t, practiceLeaving)
}
