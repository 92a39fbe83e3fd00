package climate

import "strconv"

// itemPath is the document path of an item's part.
func itemPath(i int) string { return "items[" + strconv.Itoa(i) + "].part." }
