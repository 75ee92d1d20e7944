package xapi

import (
	"encoding/json"
	"fmt"
	"maps"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
)

// The rules below are requirements on statements from the list that goes with
// the conformance tests for IEEE 9274.1.1 (ADL, LRS conformance requirements and
// LRS Conformance Test Suite, tests for version 2.0), named by their numbers
// there. They work on the bare JSON, so that nothing is taken from the types
// under test.

var (
	// RFC 9562, string form; the variant is that of RFC 4122.
	uuidForm = regexp.MustCompile(`^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$`)
	// RFC 3986: an absolute address of letters that need no escape.
	iriForm = regexp.MustCompile(`^[A-Za-z][A-Za-z0-9+.-]*:([A-Za-z0-9._~:/?#\[\]@!$&'()*+,;=-]|%[0-9A-Fa-f]{2}|[^\x00-\x7f])+$`)
	// ISO 8601 duration, weeks alone or the other parts in order.
	durationForm = regexp.MustCompile(`^P(\d+W|(\d+Y)?(\d+M)?(\d+D)?(T(\d+H)?(\d+M)?(\d+(\.\d+)?S)?)?)$`)
	// RFC 5646, sequence of subtags by their lengths.
	langForm = regexp.MustCompile(`^[a-z]{2,3}(-[A-Za-z]{4})?(-[A-Z]{2}|-\d{3})?$`)
)

// properties are those that the standard knows, by object (XAPI-00010: others
// are rejected).
var properties = map[string][]string{
	"statement":  {"id", "actor", "verb", "object", "result", "context", "timestamp", "stored", "authority", "version", "attachments"},
	"actor":      {"objectType", "name", "mbox", "mbox_sha1sum", "openid", "account"},
	"account":    {"homePage", "name"},
	"verb":       {"id", "display"},
	"activity":   {"objectType", "id", "definition"},
	"definition": {"name", "description", "type", "moreInfo", "extensions", "interactionType", "correctResponsesPattern", "choices", "scale", "source", "target", "steps"},
	"ref":        {"objectType", "id"},
	"result":     {"score", "success", "completion", "response", "duration", "extensions"},
	"score":      {"scaled", "raw", "min", "max"},
	"context":    {"registration", "instructor", "team", "contextActivities", "contextAgents", "contextGroups", "revision", "platform", "language", "statement", "extensions"},
}

// ruleCheck collects broken rules.
type ruleCheck struct{ broken []string }

func (c *ruleCheck) rule(number, path string, holds bool) {
	if !holds {
		c.broken = append(c.broken, "XAPI-"+number+" "+path)
	}
}

// object returns the object at key, nil when absent. It breaks rule number when
// it is something else.
func (c *ruleCheck) object(number, kind, path string, v any) map[string]any {
	m, ok := v.(map[string]any)
	c.rule(number, path, ok && len(m) > 0)
	for _, k := range slices.Sorted(maps.Keys(m)) {
		if properties[kind] != nil {
			c.rule("00010", path+"."+k, slices.Contains(properties[kind], k))
		}
		if kind != "extensions" {
			c.rule("00001", path+"."+k, m[k] != nil)
		}
	}
	return m
}

func (c *ruleCheck) text(number, path string, v any) string {
	s, ok := v.(string)
	c.rule(number, path, ok)
	return s
}

func (c *ruleCheck) iri(number, path string, v any) {
	s := c.text(number, path, v)
	u, err := url.Parse(s)
	c.rule(number, path, iriForm.MatchString(s) && err == nil && u.Scheme != "")
}

func (c *ruleCheck) words(number, path string, v any) {
	for k, w := range c.object(number, "", path, v) {
		_, ok := w.(string)
		c.rule(number, path+"."+k, ok)
		c.rule("00013", path+"."+k, langForm.MatchString(k))
	}
}

// violations returns the rules that a statement breaks and where.
func violations(raw []byte) []string {
	c := &ruleCheck{}
	var v any
	if err := json.Unmarshal(raw, &v); err != nil {
		return []string{"XAPI-00014 " + err.Error()}
	}
	st := c.object("00014", "statement", "statement", v)
	c.rule("00027", "id", uuidForm.MatchString(c.text("00028", "id", st["id"])))
	for number, key := range map[string]string{"00003": "actor", "00004": "verb", "00005": "object"} {
		c.rule(number, key, st[key] != nil)
	}
	c.actor(st["actor"])
	if verb := c.object("00004", "verb", "verb", st["verb"]); verb != nil {
		c.iri("00044", "verb.id", verb["id"])
		c.words("00045", "verb.display", verb["display"])
	}
	ref := c.activityOrRef(st)
	if r, ok := st["result"]; ok {
		c.result(r)
	}
	if x, ok := st["context"]; ok {
		c.context(x, ref)
	}
	stamp := c.text("00022", "timestamp", st["timestamp"])
	_, err := time.Parse(time.RFC3339Nano, stamp)
	c.rule("00123", "timestamp", err == nil && !strings.HasSuffix(stamp, "-00:00"))
	slices.Sort(c.broken)
	return slices.Compact(c.broken)
}

func (c *ruleCheck) actor(v any) {
	a := c.object("00003", "actor", "actor", v)
	c.rule("00031", "actor.objectType", a["objectType"] == nil || a["objectType"] == "Agent")
	if a["name"] != nil {
		c.text("00033", "actor.name", a["name"])
	}
	known := 0
	for _, k := range []string{"mbox", "mbox_sha1sum", "openid", "account"} {
		if a[k] != nil {
			known++
		}
	}
	c.rule("00034", "actor", known == 1)
	if a["account"] != nil {
		acc := c.object("00041", "account", "actor.account", a["account"])
		c.iri("00042", "actor.account.homePage", acc["homePage"])
		c.rule("00043", "actor.account.name", c.text("00043", "actor.account.name", acc["name"]) != "")
	}
}

// activityOrRef checks the object and tells whether it is a reference.
func (c *ruleCheck) activityOrRef(st map[string]any) bool {
	o, _ := st["object"].(map[string]any)
	verb, _ := st["verb"].(map[string]any)
	ref := o["objectType"] == "StatementRef"
	// A voiding statement has a StatementRef as its object: xAPI 1.0.3, part two,
	// 2.3.2; the list has no number for it.
	if !ref && verb["id"] == "http://adlnet.gov/expapi/verbs/voided" {
		c.broken = append(c.broken, "2.3.2 object")
	}
	if ref {
		c.object("00005", "ref", "object", o)
		c.rule("00072", "object.id", uuidForm.MatchString(c.text("00072", "object.id", o["id"])))
		return true
	}
	c.activity("object", st["object"])
	return false
}

func (c *ruleCheck) activity(path string, v any) {
	o := c.object("00005", "activity", path, v)
	c.rule("00046", path+".objectType", o["objectType"] == nil || o["objectType"] == "Activity")
	c.iri("00047", path+".id", o["id"])
	if o["definition"] != nil {
		d := c.object("00048", "definition", path+".definition", o["definition"])
		c.words("00056", path+".definition.name", d["name"])
		c.iri("00060", path+".definition.type", d["type"])
	}
}

func (c *ruleCheck) result(v any) {
	r := c.object("00006", "result", "result", v)
	isBool := func(v any) bool { _, ok := v.(bool); return ok || v == nil }
	c.rule("00074", "result.success", isBool(r["success"]))
	c.rule("00075", "result.completion", isBool(r["completion"]))
	if r["response"] != nil {
		c.text("00076", "result.response", r["response"])
	}
	if r["duration"] != nil {
		d := c.text("00077", "result.duration", r["duration"])
		c.rule("00124", "result.duration", durationForm.MatchString(d) && d != "P" && !strings.HasSuffix(d, "T"))
	}
	if r["score"] == nil {
		return
	}
	s := c.object("00079", "score", "result.score", r["score"])
	num := func(key string) (float64, bool) {
		f, ok := s[key].(float64)
		c.rule("00006", "result.score."+key, ok || s[key] == nil)
		return f, ok
	}
	scaled, ok := num("scaled")
	c.rule("00083", "result.score.scaled", !ok || scaled >= -1 && scaled <= 1)
	raw, hasRaw := num("raw")
	lo, hasLo := num("min")
	hi, hasHi := num("max")
	c.rule("00082", "result.score.raw", !hasRaw || (!hasLo || raw >= lo) && (!hasHi || raw <= hi))
	c.rule("00081", "result.score.min", !hasLo || !hasHi || lo < hi)
}

func (c *ruleCheck) context(v any, ref bool) {
	x := c.object("00006", "context", "context", v)
	if x["revision"] != nil {
		c.text("00089", "context.revision", x["revision"])
		c.rule("00084", "context.revision", !ref)
	}
	if x["platform"] != nil {
		c.text("00090", "context.platform", x["platform"])
		c.rule("00085", "context.platform", !ref)
	}
	if x["contextActivities"] != nil {
		around := c.object("00086", "", "context.contextActivities", x["contextActivities"])
		for k, list := range around {
			c.rule("00093", "context.contextActivities."+k, slices.Contains([]string{"parent", "grouping", "category", "other"}, k))
			l, ok := list.([]any)
			c.rule("00094", "context.contextActivities."+k, ok)
			for i, a := range l {
				c.activity(fmt.Sprintf("context.contextActivities.%s[%d]", k, i), a)
			}
		}
	}
	if x["extensions"] != nil {
		for k := range c.object("00006", "extensions", "context.extensions", x["extensions"]) {
			c.iri("00011", "context.extensions."+k, k)
		}
	}
}

// TestRules tries the rules themselves: each must be found broken where it is.
func TestRules(t *testing.T) {
	const good = `{"id":"2f3a1c0e-5a0b-5c1d-8e2f-0123456789ab","actor":{"objectType":"Agent","name":"A","account":{"homePage":"https://x.example","name":"a"}},
		"verb":{"id":"http://adlnet.gov/expapi/verbs/passed","display":{"en":"passed"}},
		"object":{"objectType":"Activity","id":"https://x.example/l","definition":{"name":{"en":"l"},"type":"http://adlnet.gov/expapi/activities/assessment"}},
		"result":{"score":{"scaled":0.5,"raw":50,"min":0,"max":100},"success":true,"completion":true,"response":"r","duration":"PT1.5S"},
		"context":{"platform":"p","revision":"1","contextActivities":{"parent":[{"objectType":"Activity","id":"https://x.example/d"}]},"extensions":{"https://x.example/e":null}},
		"timestamp":"2026-03-02T05:50:00.123456Z"}`
	if got := violations([]byte(good)); got != nil {
		t.Fatalf("the good statement breaks %q", got)
	}
	tests := []struct{ old, new, want string }{
		{`{"id"`, `{"id`, "XAPI-00014"},
		{`"id":"2f3a1c0e-5a0b-5c1d-8e2f-0123456789ab"`, `"id":"2f3a1c0e"`, "XAPI-00027 id"},
		{`-8e2f-`, `-ce2f-`, "XAPI-00027 id"},
		{`"actor":{`, `"aktor":{`, "XAPI-00003 actor"},
		{`"actor":{`, `"aktor":{`, "XAPI-00010 statement.aktor"},
		{`"verb":{`, `"verbe":{`, "XAPI-00004 verb"},
		{`"object":{`, `"objekt":{`, "XAPI-00005 object"},
		{`"name":"A",`, `"name":null,`, "XAPI-00001 actor.name"},
		{`"name":"A",`, `"name":"A","openid":"https://a.example",`, "XAPI-00034 actor"},
		{`"account":{"homePage":"https://x.example","name":"a"}`, `"nickname":"a"`, "XAPI-00034 actor"},
		{`"homePage":"https://x.example"`, `"homePage":"x.example/a"`, "XAPI-00042 actor.account.homePage"},
		{`"name":"a"`, `"name":""`, "XAPI-00043 actor.account.name"},
		{`"objectType":"Agent"`, `"objectType":"agent"`, "XAPI-00031 actor.objectType"},
		{`http://adlnet.gov/expapi/verbs/passed`, `passed`, "XAPI-00044 verb.id"},
		{`"display":{"en":"passed"}`, `"display":"passed"`, "XAPI-00045 verb.display"},
		{`"display":{"en":"passed"}`, `"display":{"english":"passed"}`, "XAPI-00013 verb.display.english"},
		{`verbs/passed`, `verbs/voided`, "2.3.2 object"},
		{`"name":"A",`, `"name":7,`, "XAPI-00033 actor.name"},
		{`"id":"2f3a1c0e-5a0b-5c1d-8e2f-0123456789ab"`, `"id":7`, "XAPI-00028 id"},
		{`"parent":[{"objectType":"Activity","id":"https://x.example/d"}]`, `"parent":"https://x.example/d"`, "XAPI-00094 context.contextActivities.parent"},
		{`"objectType":"Activity","id":"https://x.example/l"`, `"objectType":"StatementRef","id":"https://x.example/l"`, "XAPI-00072 object.id"},
		{`"objectType":"Activity","id":"https://x.example/l"`, `"objectType":"StatementRef","id":"https://x.example/l"`, "XAPI-00084 context.revision"},
		{`"objectType":"Activity","id":"https://x.example/l"`, `"objectType":"StatementRef","id":"https://x.example/l"`, "XAPI-00085 context.platform"},
		{`"objectType":"Activity","id":"https://x.example/l"`, `"objectType":"activity","id":"https://x.example/l"`, "XAPI-00046 object.objectType"},
		{`https://x.example/l"`, `https://x.example/a lesson"`, "XAPI-00047 object.id"},
		{`"name":{"en":"l"}`, `"name":"l"`, "XAPI-00056 object.definition.name"},
		{`http://adlnet.gov/expapi/activities/assessment`, `assessment`, "XAPI-00060 object.definition.type"},
		{`"success":true`, `"success":"true"`, "XAPI-00074 result.success"},
		{`"completion":true`, `"completion":1`, "XAPI-00075 result.completion"},
		{`"response":"r"`, `"response":7`, "XAPI-00076 result.response"},
		{`PT1.5S`, `1.5s`, "XAPI-00124 result.duration"},
		{`PT1.5S`, `P4W1D`, "XAPI-00124 result.duration"},
		{`PT1.5S`, `PT`, "XAPI-00124 result.duration"},
		{`"scaled":0.5`, `"scaled":1.01`, "XAPI-00083 result.score.scaled"},
		{`"raw":50`, `"raw":100.5`, "XAPI-00082 result.score.raw"},
		{`"raw":50`, `"raw":"50"`, "XAPI-00006 result.score.raw"},
		{`"min":0`, `"min":100`, "XAPI-00081 result.score.min"},
		{`"score":{`, `"score":7,"x":{`, "XAPI-00079 result.score"},
		{`"platform":"p"`, `"platform":7`, "XAPI-00090 context.platform"},
		{`"revision":"1"`, `"revision":1`, "XAPI-00089 context.revision"},
		{`"parent":[`, `"parents":[`, "XAPI-00093 context.contextActivities.parents"},
		{`"https://x.example/e"`, `"seed"`, "XAPI-00011 context.extensions.seed"},
		{`05:50:00.123456Z`, `05:50`, "XAPI-00123 timestamp"},
		{`123456Z`, `123456-00:00`, "XAPI-00123 timestamp"},
	}
	for _, tt := range tests {
		if !strings.Contains(good, tt.old) {
			t.Fatalf("no %s in the good statement", tt.old)
		}
		got := violations([]byte(strings.Replace(good, tt.old, tt.new, 1)))
		if !slices.ContainsFunc(got, func(s string) bool { return strings.HasPrefix(s, tt.want) }) {
			t.Errorf("%s: broken rules %q lack %s", tt.new, got, tt.want)
		}
	}
}
