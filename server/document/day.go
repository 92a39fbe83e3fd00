package document

// isDayShaped reports whether s is written like a calendar date of ISO 8601,
// 2026-03-01, whether there is such a day or not.
func isDayShaped[T ~string | ~[]byte](s T) bool {
	const shape = "0000-00-00"
	if len(s) != len(shape) {
		return false
	}
	for i := range len(shape) {
		if shape[i] == '-' && s[i] != '-' || shape[i] == '0' && (s[i] < '0' || s[i] > '9') {
			return false
		}
	}
	return true
}

// calendarDay reports whether b is a day of the Gregorian calendar by ISO 8601.
// It is package time's answer without package time's allocations.
func calendarDay(b []byte) bool {
	if !isDayShaped(b) {
		return false
	}
	number := func(from, to int) int {
		n := 0
		for _, c := range b[from:to] {
			n = 10*n + int(c-'0')
		}
		return n
	}
	year, month, day := number(0, 4), number(5, 7), number(8, 10)
	if month < 1 || month > 12 {
		return false
	}
	days := [...]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}[month-1]
	if month == 2 && year%4 == 0 && (year%100 != 0 || year%400 == 0) {
		days++
	}
	return day >= 1 && day <= days
}
