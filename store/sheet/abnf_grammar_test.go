package sheet_test

import (
	"os"
	"strconv"
	"strings"
	"testing"
)

// A small reader and matcher of ABNF (RFC 5234) with case-sensitive strings
// (RFC 7405), enough to hold sheet.abnf against the parser.

// node is one element of a grammar. What it is, its kind says.
type node struct {
	kind   byte    // a alternatives, c concatenation, * repetition, r rule, v value range, s string, x rule with exceptions
	sub    []*node // of a, c and *
	lo, hi int     // times of *, code points of v
	text   string  // of s, and the name of r and x
	except []string
	insens bool // a string in which case does not count
}

type grammar map[string]*node

// readGrammar reads the file. Rules start in the first column; lines that do
// not go on with the rule before.
func readGrammar(t *testing.T, file string) grammar {
	t.Helper()
	src, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	g, name, body := grammar{}, "", ""
	finish := func() {
		if name == "" {
			return
		}
		if g[name] != nil {
			t.Fatalf("%s: rule %s is there twice", file, name)
		}
		p := &abnfParser{words: abnfWords(body)}
		g[name] = p.alternatives()
		if p.at < len(p.words) || p.bad {
			t.Fatalf("%s: rule %s cannot be read at %q", file, name, strings.Join(p.words[min(p.at, len(p.words)):], " "))
		}
	}
	for line := range strings.Lines(string(src)) {
		switch {
		case strings.TrimSpace(line) == "" || line[0] == ';':
		case line[0] == ' ':
			body += line
		default:
			finish()
			name, body, _ = strings.Cut(line, "=")
			name = strings.TrimSpace(name)
		}
	}
	finish()
	return g
}

// abnfWords cuts the right side of a rule into words, without comments.
func abnfWords(s string) (words []string) {
	for i := 0; i < len(s); {
		switch c := s[i]; {
		case c == ' ' || c == '\n':
			i++
		case c == ';':
			i += strings.IndexByte(s[i:], '\n')
		case c == '"' || c == '<' || strings.HasPrefix(s[i:], `%s"`):
			from := i + strings.IndexAny(s[i:], `"<`) + 1
			end := from + strings.IndexByte(s[from:], map[bool]byte{true: '>', false: '"'}[c == '<']) + 1
			words, i = append(words, s[i:end]), end
		case strings.IndexByte("()[]/", c) >= 0:
			words, i = append(words, s[i:i+1]), i+1
		default:
			end := i + 1
			for end < len(s) && strings.IndexByte(" \n()[]/\"<%;", s[end]) < 0 && (s[end-1] != '*' || s[end] == '*') {
				end++
			}
			words, i = append(words, s[i:end]), end
		}
	}
	return words
}

type abnfParser struct {
	words []string
	at    int
	bad   bool
}

func (p *abnfParser) next() string {
	if p.at == len(p.words) {
		return ""
	}
	return p.words[p.at]
}

func (p *abnfParser) alternatives() *node {
	n := &node{kind: 'a', sub: []*node{p.concatenation()}}
	for p.next() == "/" {
		p.at++
		n.sub = append(n.sub, p.concatenation())
	}
	return n
}

func (p *abnfParser) concatenation() *node {
	n := &node{kind: 'c'}
	for w := p.next(); w != "" && w != "/" && w != ")" && w != "]" && !p.bad; w = p.next() {
		n.sub = append(n.sub, p.repetition())
	}
	return n
}

// repetition reads 1*x, 2x, *x or x. A count and its element may be one word:
// 2DIGIT.
func (p *abnfParser) repetition() *node {
	w := p.next()
	end := strings.IndexFunc(w, func(r rune) bool { return r != '*' && (r < '0' || r > '9') })
	if end < 0 {
		end = len(w)
	}
	if end == 0 {
		return p.element()
	}
	if p.words[p.at] = w[end:]; end == len(w) {
		p.at++
	}
	least, most, many := strings.Cut(w[:end], "*")
	n := &node{kind: '*', lo: 0, hi: 1 << 20}
	if least != "" {
		n.lo, _ = strconv.Atoi(least)
	}
	if !many {
		n.hi = n.lo
	} else if most != "" {
		n.hi, _ = strconv.Atoi(most)
	}
	n.sub = []*node{p.element()}
	return n
}

func (p *abnfParser) element() *node {
	w := p.next()
	p.at++
	switch {
	case w == "(" || w == "[":
		n := p.alternatives()
		p.bad = p.bad || p.next() != map[string]string{"(": ")", "[": "]"}[w]
		p.at++
		if w == "[" {
			return &node{kind: '*', lo: 0, hi: 1, sub: []*node{n}}
		}
		return n
	case strings.HasPrefix(w, `%s"`):
		return &node{kind: 's', text: w[3 : len(w)-1]}
	case strings.HasPrefix(w, `"`):
		return &node{kind: 's', text: w[1 : len(w)-1], insens: true}
	case strings.HasPrefix(w, "%x"):
		from, to, ranged := strings.Cut(w[2:], "-")
		lo, err1 := strconv.ParseInt(from, 16, 32)
		hi := lo
		var err2 error
		if ranged {
			hi, err2 = strconv.ParseInt(to, 16, 32)
		}
		p.bad = p.bad || err1 != nil || err2 != nil
		return &node{kind: 'v', lo: int(lo), hi: int(hi)}
	case strings.HasPrefix(w, "<"):
		words := strings.Fields(w[1 : len(w)-1])
		p.bad = p.bad || len(words) < 3 || words[1] != "except"
		return &node{kind: 'x', text: words[0], except: words[2:]}
	}
	p.bad = p.bad || w == ""
	return &node{kind: 'r', text: w}
}

// rules lists every rule name that a node refers to.
func (n *node) rules() (names []string) {
	if n.kind == 'r' || n.kind == 'x' {
		names = append(names, n.text)
	}
	for _, s := range n.sub {
		names = append(names, s.rules()...)
	}
	return names
}
