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

// mostBlock is how long a statement may be to have room in a sheet that a batch can hold,
// beside what names the subject.
const mostBlock = MostSheet - 4<<10

// parted parts statements that are longer than that, such as a ground net with twenty
// thousand pins: each part begins as the whole does.
func parted(blocks []string) (all []string) {
	for _, block := range blocks {
		head, members, _ := strings.Cut(block, "\n")
		for len(head)+1+len(members) > mostBlock {
			end := strings.LastIndexByte(members[:mostBlock/2], '\n') + 1
			if end == 0 {
				break // no line of a sheet is that long
			}
			all = append(all, head+"\n"+members[:end])
			members = members[end:]
		}
		all = append(all, head+"\n"+members)
	}
	return all
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
