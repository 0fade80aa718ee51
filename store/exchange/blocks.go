package exchange

import "strings"

// sheetHead begins every sheet.
const sheetHead = "netlore 1\n"

// blocksOf parts a canonical sheet into its statements, each with its members, as
// they stand: the text of a block is what was hashed. What is no canonical sheet
// gives blocks that nobody has signed. It reports false if it is no sheet at all,
// or cut short within a line.
func blocksOf(sheet string) (blocks []string, ok bool) {
	rest, ok := strings.CutPrefix(sheet, sheetHead)
	if !ok || rest != "" && !strings.HasSuffix(rest, "\n") {
		return nil, false
	}
	for start, at := 0, 0; at < len(rest); {
		at += strings.IndexByte(rest[at:], '\n') + 1
		if at < len(rest) && rest[at] == ' ' {
			continue
		}
		if block := rest[start:at]; block != "\n" {
			blocks = append(blocks, block)
		}
		start = at
	}
	return blocks, true
}

// sheetOf makes a canonical sheet of blocks that are in canonical order. It begins
// by naming what it is about.
func sheetOf(of string, blocks []string) []byte {
	size := len(sheetHead) + len(of) + 2*len(blocks)
	for _, b := range blocks {
		size += len(b)
	}
	s := append(make([]byte, 0, size), sheetHead...)
	last := ""
	if named := named(of); named != "" && (len(blocks) == 0 || !names(blocks[0], of)) {
		s = append(s, named...)
		last = firstWord(named)
	}
	for _, b := range blocks {
		if kind := firstWord(b); kind != last {
			if last != "" || kind != "board" && kind != "stack" {
				s = append(s, '\n')
			}
			last = kind
		}
		s = append(s, b...)
	}
	return s
}

// Sheet is blocks on a subject as a plain sheet, as it leaves the shop.
func Sheet(of string, blocks []string) []byte { return sheetOf(of, blocks) }

// named is the statement that names a subject and says nothing else of it; saved
// questions, meters and chances are about no board.
func named(of string) string {
	if kind := firstWord(of); kind == "board" || kind == "stack" {
		return of + "\n"
	}
	return ""
}

// names reports whether a block is the statement that names a subject.
func names(block, of string) bool {
	rest, ok := strings.CutPrefix(block, of)
	return ok && rest != "" && (rest[0] == ' ' || rest[0] == '\n')
}

func firstWord(s string) string {
	word, _, _ := strings.Cut(s, " ")
	return strings.TrimSuffix(word, "\n")
}
