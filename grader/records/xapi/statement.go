package xapi

// Statement is one statement, in the words of the standard.
type Statement struct {
	ID        string   `json:"id"`
	Actor     Actor    `json:"actor"`
	Verb      Verb     `json:"verb"`
	Object    Object   `json:"object"`
	Result    *Result  `json:"result,omitempty"`
	Context   *Context `json:"context,omitempty"`
	Timestamp string   `json:"timestamp"`
}

// Actor is an agent who is identified by an account.
type Actor struct {
	ObjectType string  `json:"objectType"`
	Name       string  `json:"name,omitempty"`
	Account    Account `json:"account"`
}

// Account is a person's name within a system.
type Account struct {
	HomePage string `json:"homePage"`
	Name     string `json:"name"`
}

// Words is a language map.
type Words map[string]string

// Verb is what was done.
type Verb struct {
	ID      string `json:"id"`
	Display Words  `json:"display"`
}

// Object is what it was done to: an activity, or a statement that is voided.
type Object struct {
	ObjectType string      `json:"objectType"`
	ID         string      `json:"id"`
	Definition *Definition `json:"definition,omitempty"`
}

// Definition describes an activity.
type Definition struct {
	Name Words  `json:"name"`
	Type string `json:"type"`
}

// Result is how it went.
type Result struct {
	Score      *Score `json:"score,omitempty"`
	Success    *bool  `json:"success,omitempty"`
	Completion *bool  `json:"completion,omitempty"`
	Response   string `json:"response,omitempty"`
	Duration   string `json:"duration,omitempty"` // ISO 8601
}

// Score is a mark.
type Score struct {
	Scaled float64 `json:"scaled"` // 0 to 1
	Raw    float64 `json:"raw"`
	Min    float64 `json:"min"`
	Max    float64 `json:"max"`
}

// Context says what belongs to it.
type Context struct {
	Platform          string             `json:"platform"`
	Revision          string             `json:"revision,omitempty"` // version of the course
	ContextActivities *ContextActivities `json:"contextActivities,omitempty"`
	Extensions        map[string]any     `json:"extensions,omitempty"`
}

// ContextActivities are the activities around an activity.
type ContextActivities struct {
	Parent []Object `json:"parent"`
}
