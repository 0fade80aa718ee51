package sheet

import "netlore/store/board"

// A wordTable finds the words of a form. Looking up words is most of what
// reading a sheet is, and a general map takes twice as long as all the rest.
type wordTable struct {
	slots []wordSlot // a power of two, at most half full
}

type wordSlot struct {
	word  string
	entry entry
}

func newWordTable(most int) wordTable {
	n := 8
	for n < 2*most {
		n *= 2
	}
	return wordTable{slots: make([]wordSlot, n)}
}

// hash mixes what tells words apart: length, first and last letters.
func (t *wordTable) hash(s string) int {
	h := uint32(len(s))*0x9e37 + uint32(s[0])*0x85eb + uint32(s[len(s)-1])*0xc2b3 + uint32(s[len(s)/2])*0x27d5
	return int(h>>4) & (len(t.slots) - 1)
}

func (t *wordTable) add(word string, e entry) {
	i := t.hash(word)
	for t.slots[i].word != "" {
		i = (i + 1) & (len(t.slots) - 1)
	}
	t.slots[i] = wordSlot{word, e}
}

// find looks up a word. All words start with a small letter, so most values
// are not looked up at all.
func (t *wordTable) find(s string) (entry, bool) {
	if s == "" || s[0] < 'a' || s[0] > 'z' || len(t.slots) == 0 {
		return entry{}, false
	}
	for i := t.hash(s); ; i = (i + 1) & (len(t.slots) - 1) {
		switch t.slots[i].word {
		case s:
			return t.slots[i].entry, true
		case "":
			return entry{}, false
		}
	}
}

// memo remembers how quantities and tolerances are read and printed: a board
// has few different ones, thousands of times. Each place of its tables holds
// the last that came there.
type memo struct {
	read    []keptQuantity
	printed []printedQuantity
	// tolerances have two memos of their own.
	said   [16]printedTolerance
	within [16]keptTolerance
}

type keptQuantity struct {
	text string
	q    board.Quantity // unknown if the text is no quantity with its unit
	form textForm
}

// textForm tells whether a text is the canonical one of its quantity.
type textForm uint8

const (
	formUnknown textForm = iota // not looked at yet
	canonicalText
	otherText
)

type keptTolerance struct {
	text   string
	within board.Tolerance
}

type printedQuantity struct {
	q    board.Quantity
	text string
}

type printedTolerance struct {
	within board.Tolerance
	text   string
}

// newMemo makes a memo with room by the size of the text to be read.
func newMemo(size int) *memo {
	n := 16
	for n < 1024 && n*512 < size {
		n *= 2
	}
	return &memo{read: make([]keptQuantity, n), printed: make([]printedQuantity, n)}
}

// spread mixes the first bytes of a text.
func spread(s string) uint32 {
	h := uint32(len(s))
	for i := range min(len(s), 8) {
		h = h*31 + uint32(s[i])
	}
	return h ^ h>>10
}

// parse reads a quantity whose unit is written.
func (m *memo) parse(s string) (board.Quantity, bool) {
	known := m.quantity(s)
	return known.q, known.q.Known()
}

// canonical reports whether s is the canonical text of a quantity.
func (m *memo) canonical(s string) bool {
	known := m.quantity(s)
	if known.form == formUnknown {
		known.form = otherText
		if known.q.Known() && known.q.String() == s {
			known.form = canonicalText
		}
	}
	return known.form == canonicalText
}

func (m *memo) quantity(s string) *keptQuantity {
	known := &m.read[spread(s)&uint32(len(m.read)-1)]
	if known.text != s {
		q, _ := board.QuantityOf(s, board.NoUnit)
		*known = keptQuantity{text: s, q: q}
	}
	return known
}

// tolerance reads a tolerance.
func (m *memo) tolerance(s string) (board.Tolerance, error) {
	known := &m.within[spread(s)%uint32(len(m.within))]
	if known.text == s {
		return known.within, nil
	}
	t, err := board.ParseTolerance(s)
	if err == nil {
		*known = keptTolerance{s, t}
	}
	return t, err
}

// append prints a quantity.
func (m *memo) append(dst []byte, q board.Quantity) []byte {
	h := uint64(q.Coef)*0x9e3779b97f4a7c15>>32 + uint64(q.Exp)*7 + uint64(q.Unit)
	known := &m.printed[h&uint64(len(m.printed)-1)]
	if known.q != q {
		*known = printedQuantity{q, q.String()}
	}
	return append(dst, known.text...)
}

// toleranceText is the canonical text of a tolerance.
func (m *memo) toleranceText(t board.Tolerance) string {
	known := &m.said[uint64(t.Above.Coef)%uint64(len(m.said))]
	if known.within != t {
		*known = printedTolerance{t, t.String()}
	}
	return known.text
}
