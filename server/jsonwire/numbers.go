package jsonwire

import (
	"math"
	"strconv"

	"google.golang.org/protobuf/encoding/protowire"
)

// whole reads a whole number from 0 that is written without point and exponent.
func (r *reader) whole(most uint64) bool {
	r.next()
	var n uint64
	start := r.at
	for ; r.at < len(r.text) && r.text[r.at]-'0' <= 9; r.at++ {
		if n = n*10 + uint64(r.text[r.at]-'0'); n > most {
			return false
		}
	}
	if r.at == start || r.text[start] == '0' && r.at > start+1 || !r.ends() {
		return false
	}
	r.out = protowire.AppendVarint(r.out, n)
	return true
}

// ends tells whether a number ends here.
func (r *reader) ends() bool {
	if r.at == len(r.text) {
		return false
	}
	switch r.text[r.at] {
	case ',', '}', ']', ' ', '\t', '\n', '\r':
		return true
	}
	return false
}

// powers of ten that a double holds exactly.
var powers = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// double reads a number by RFC 8259, section 6. Up to 15 digits fit into a double
// exactly, and so does the power of ten behind the point: their quotient is rounded
// once, as it should be.
func (r *reader) double() bool {
	r.next()
	start := r.at
	negative := r.at < len(r.text) && r.text[r.at] == '-'
	if negative {
		r.at++
	}
	first := r.at
	mantissa, digits := r.digits(0)
	if digits == 0 || digits > 1 && r.text[first] == '0' {
		return false
	}
	fraction := 0
	if r.at < len(r.text) && r.text[r.at] == '.' {
		r.at++
		if mantissa, fraction = r.digits(mantissa); fraction == 0 {
			return false
		}
	}
	var n float64
	const exact = 15
	if r.ends() && digits+fraction <= exact {
		if n = float64(mantissa) / powers[fraction]; negative {
			n = math.Copysign(n, -1)
		}
	} else if !r.exponent() || !r.ends() {
		return false
	} else {
		var err error
		if n, err = strconv.ParseFloat(string(r.text[start:r.at]), 64); err != nil {
			return false
		}
	}
	r.out = protowire.AppendFixed64(r.out, math.Float64bits(n))
	return true
}

// digits reads on a row of digits. Of a long one the number is not meant to be used.
func (r *reader) digits(n uint64) (uint64, int) {
	start := r.at
	for ; r.at < len(r.text) && r.text[r.at]-'0' <= 9; r.at++ {
		n = n*10 + uint64(r.text[r.at]-'0')
	}
	return n, r.at - start
}

// exponent passes an exponent, if there is one.
func (r *reader) exponent() bool {
	if r.at == len(r.text) || r.text[r.at]|0x20 != 'e' {
		return true
	}
	r.at++
	if r.at < len(r.text) && (r.text[r.at] == '+' || r.text[r.at] == '-') {
		r.at++
	}
	_, digits := r.digits(0)
	return digits > 0
}
