package document

// Violation is one thing that is wrong with a document that could be read.
type Violation struct {
	// Path leads to the value by proto field names, such as
	// "items[2].part.fan.size_mm"; empty for the document as a whole.
	Path string
	// Reason is a sentence that says what is wrong and what to do.
	Reason string
	// Line and Column are the place in the text, 0 where it is not known.
	Line, Column int
}

// String gives "line:column: path: reason", leaving out what is not known.
func (v Violation) String() string {
	return Fault{Line: v.Line, Column: v.Column, Path: v.Path, Reason: v.Reason}.String()
}
