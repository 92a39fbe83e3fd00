// Package trial runs trials against a service and shows what came of them: the
// rulesets that files name, the verdicts that flip with the evidence of both sides,
// the smallest document in which each flip just stays, and reports as text, as
// lines of JSON, and as one page of HTML.
package trial
