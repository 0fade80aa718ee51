package ipcd356

import "bytes"

// tail reads what follows the coordinates, from at on: size, rotation, mask
// and, for blind and buried vias, layers. All of it may be missing. Text after
// it is remembered as trailer. It always succeeds: size and rotation are no
// reason to lose a pin.
func (f *fields) tail(line []byte, at int) bool {
	shift := at - colSize
	i := f.size(line, at, colTrailing+shift)
	if i < len(line) && line[i] == 'R' && i < colTrailing+shift {
		if v, next, ok := short(line, i+1); ok {
			f.turn, i = v, skipBlanks(line, next)
		}
	}
	if i+1 < len(line) && line[i] == 'S' && '0' <= line[i+1] && line[i+1] <= '3' {
		f.mask, i = line[i+1], skipBlanks(line, i+2)
	} else if i < len(line) && line[i] == 'S' && blank(line[i+1:]) {
		i = len(line)
	}
	i = f.layers(line, i)
	if i < len(line) {
		f.trailer = i
	}
	return true
}

// size reads X and Y of the pad. A round pad has Y 0, blank, or no Y.
func (f *fields) size(line []byte, at, limit int) int {
	i := skipBlanks(line, at)
	if i >= len(line) || line[i] != 'X' || i >= limit {
		return i
	}
	if v, next, ok := short(line, i+1); ok {
		f.w, i = v, next
	} else {
		i++
	}
	i = skipBlanks(line, i)
	if i >= len(line) || line[i] != 'Y' || i >= limit {
		return i
	}
	if v, next, ok := short(line, i+1); ok {
		f.h, i = v, next
	} else {
		i++
	}
	return skipBlanks(line, i)
}

// layers reads the two layers of a blind or buried via: L01L02. What are not two
// layers is left, to be complained of with the rest of the line.
func (f *fields) layers(line []byte, i int) int {
	pair := [2]uint8{}
	at := i
	for n := range pair {
		if at+2 >= len(line) || line[at] != 'L' || !isDigit(line[at+1]) || !isDigit(line[at+2]) {
			return i
		}
		pair[n] = (line[at+1]-'0')*10 + line[at+2] - '0'
		at = skipBlanks(line, at+3)
	}
	if pair[0] == pair[1] || min(pair[0], pair[1]) == 0 {
		return i
	}
	f.from, f.to = min(pair[0], pair[1]), max(pair[0], pair[1])
	return at
}

// short reads the digits of a size or rotation: no sign, a few blanks for
// leading zeros.
func short(line []byte, at int) (value int32, next int, ok bool) {
	i := skipBlanks(line, at)
	if i-at > 3 || i >= len(line) || !isDigit(line[i]) {
		return 0, at, false
	}
	return number(line, i)
}

// byPattern finds the fields of a record that has slipped out of its columns:
// the access code and the coordinates are looked for from the right; what
// stands before them is split at blanks and at the dash.
func (f *fields) byPattern(line []byte) bool {
	for i := len(line) - 7; i > colNet; i-- {
		if line[i] == 'A' && f.placeFrom(line, i) {
			return f.looseHead(line[:i])
		}
	}
	return false
}

// placeFrom reads access code, coordinates and the tail from i on.
func (f *fields) placeFrom(line []byte, i int) bool {
	if i+3 >= len(line) || !f.sideAt(line[i:i+3]) {
		return false
	}
	at := skipBlanks(line, i+3)
	if at >= len(line) || line[at] != 'X' {
		return false
	}
	x, next, ok := number(line, at+1)
	next = skipBlanks(line, next)
	if !ok || next >= len(line) || line[next] != 'Y' {
		return false
	}
	y, next, ok := number(line, next+1)
	if !ok {
		return false
	}
	f.x, f.y = x, y
	return f.tail(line, next)
}

// looseHead splits "327VMAIN   RNTCBIAS3-2   MD0080P".
func (f *fields) looseHead(head []byte) bool {
	head = f.looseHole(bytes.TrimRight(head, " "))
	rest := bytes.TrimSpace(f.looseNet(head[min(colNet, len(head)):]))
	if before, ok := bytes.CutSuffix(rest, []byte(" M")); ok {
		f.mid, rest = true, bytes.TrimSpace(before)
	}
	f.ref, f.pin = splitPin(rest)
	return true
}

// looseNet takes the net off: the text up to a blank. A blank in its first
// column is no net. A blank within is kept in words for "no net".
func (f *fields) looseNet(rest []byte) []byte {
	field := bytes.TrimSpace(rest[:min(colNetEnd-colNet, len(rest))])
	if bytes.IndexByte(field, ' ') > 0 && unconnected(string(field)) {
		return rest[min(colNetEnd-colNet, len(rest)):]
	}
	end := bytes.IndexByte(rest, ' ')
	if end < 0 {
		end = len(rest)
	}
	f.net = rest[:end]
	return rest[end:]
}

// looseHole takes "D0080P" off the end of the head, and the M before it.
func (f *fields) looseHole(head []byte) []byte {
	end := len(head)
	unplated := end > 0 && head[end-1] == 'U'
	if end > 0 && (unplated || head[end-1] == 'P') {
		end--
	}
	first := end
	for first > 0 && isDigit(head[first-1]) {
		first--
	}
	d := first
	for d > 0 && head[d-1] == ' ' {
		d--
	}
	if first == end || d == 0 || head[d-1] != 'D' || d > 1 && head[d-2] != ' ' && head[d-2] != 'M' {
		return head
	}
	v, _, ok := number(head[:end], first)
	if !ok {
		return head
	}
	f.drilled, f.drill, f.plated = true, v, !unplated
	head = head[:d-1]
	if before, ok := bytes.CutSuffix(head, []byte("M")); ok {
		f.mid, head = true, before
	}
	return head
}

// splitPin splits "C412  -1" and "RNTCBIAS3-2". Pins may be called "-" and
// designators may hold a dash, so a dash after a blank counts first, then the
// last one that has something behind it.
func splitPin(text []byte) (ref, pin []byte) {
	at := bytes.Index(text, []byte(" -"))
	if at < 0 {
		if at = bytes.LastIndexByte(text, '-'); at == len(text)-1 && at > 0 && text[at-1] == '-' {
			at--
		}
	} else {
		at++
	}
	if at < 0 {
		return text, nil
	}
	return bytes.TrimSpace(text[:at]), bytes.TrimSpace(text[at+1:])
}
