package ipcd356

import "bytes"

// fields is what one test record says, in the file's own counts. The byte
// slices point into the line.
type fields struct {
	net, ref, pin []byte

	mid     bool // electrically between two other points
	drilled bool
	plated  bool // as far as drilled
	drill   int32

	access int16 // the side it can be reached from; noAccess when not stated
	x, y   int32
	w, h   int32 // h 0: round
	turn   int32 // as written; 0 when not stated
	mask   byte  // the digit, 0 when not stated

	from, to uint8 // layers of a blind or buried via

	shifted bool // not in its columns, read by pattern
	trailer int  // where text begins that belongs to no field, or 0
}

const noAccess = -1

// Columns of a test record, counted from 0.
const (
	colNet      = 3
	colNetEnd   = 17
	colRef      = 20
	colDash     = 26
	colPin      = 27
	colMid      = 31
	colDrill    = 32
	colPlating  = 37
	colAccess   = 38
	colX        = 41
	colY        = 49
	colSize     = 57
	colTrailing = 72
)

// decode reads the fields of one test record by their columns or, where they
// are not in them, by their pattern. It reports false if the record has no
// readable place.
func (f *fields) decode(line []byte) bool {
	*f = fields{access: noAccess}
	if f.byColumn(line) {
		return true
	}
	*f = fields{access: noAccess, shifted: true}
	return f.byPattern(line)
}

func (f *fields) byColumn(line []byte) bool {
	if len(line) < colSize || line[colX] != 'X' || line[colY] != 'Y' {
		return false
	}
	return f.sideAt(line[colAccess:colX]) && f.placeAt(line) && f.hole(line) && f.head(line) && f.tail(line, colSize)
}

// sideAt reads the access code. A buried via has none.
func (f *fields) sideAt(text []byte) bool {
	if text[0] == 'A' && isDigit(text[1]) && isDigit(text[2]) {
		f.access = int16(text[1]-'0')*10 + int16(text[2]-'0')
		return true
	}
	return text[0] == ' ' && text[1] == ' ' && text[2] == ' '
}

func (f *fields) placeAt(line []byte) bool {
	x, next, ok := number(line[:colY], colX+1)
	if !ok || !blank(line[next:colY]) {
		return false
	}
	y, next, ok := number(line[:colSize], colY+1)
	f.x, f.y = x, y
	return ok && blank(line[next:colSize])
}

// hole reads the drill diameter and whether the hole is plated.
func (f *fields) hole(line []byte) bool {
	switch line[colDrill] {
	case ' ':
		return true
	case 'D':
		d, next, ok := number(line[:colPlating], colDrill+1)
		f.drilled, f.drill, f.plated = true, d, line[colPlating] != 'U'
		return ok && blank(line[next:colPlating])
	}
	return false
}

// head reads net, part and pin. A net name may run on into the three columns
// behind its field, which 356B gives it.
func (f *fields) head(line []byte) bool {
	end := colNetEnd
	if !blank(line[colNetEnd:colRef]) {
		if line[colNetEnd-1] == ' ' {
			return false
		}
		end = colRef
		f.shifted = true
	}
	f.net = bytes.TrimSpace(line[colNet:end])
	f.ref = bytes.TrimSpace(line[colRef:colDash])
	if line[colDash] != '-' && line[colDash] != ' ' {
		return false
	}
	f.mid = line[colMid] == 'M'
	pinEnd := colMid
	if !f.mid && line[colMid] != ' ' {
		pinEnd, f.shifted = colDrill, true
	}
	f.pin = bytes.TrimSpace(line[colPin:pinEnd])
	return true
}

// number reads an optional sign and digits, from at on, where leading zeros
// may be blanks. It returns the place after the last digit. More than eight
// digits are no number of this format.
func number(line []byte, at int) (value int32, next int, ok bool) {
	i := skipBlanks(line, at)
	negative := false
	if i < len(line) && (line[i] == '+' || line[i] == '-') {
		negative = line[i] == '-'
		i = skipBlanks(line, i+1)
	}
	first := i
	for i < len(line) && isDigit(line[i]) && i-first < 9 {
		value = value*10 + int32(line[i]-'0')
		i++
	}
	if n := i - first; n == 0 || n > 8 {
		return 0, i, false
	}
	if negative {
		value = -value
	}
	return value, i, true
}

func skipBlanks(line []byte, i int) int {
	for i < len(line) && line[i] == ' ' {
		i++
	}
	return i
}

func blank(text []byte) bool {
	for _, c := range text {
		if c != ' ' {
			return false
		}
	}
	return true
}

func isDigit(c byte) bool { return '0' <= c && c <= '9' }
