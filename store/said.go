package store

import (
	"context"

	"netlore/store/sheet"
)

// Said is what the base itself says of a subject that may be shared under a licence,
// without what it has of other shops, and without jobs. What was added under
// another licence is left out, and counted by that. ErrUnknownSubject if nothing
// is left.
func (b *Base) Said(_ context.Context, s Subject, licence string) (*sheet.Content, map[string]int, error) {
	c := &change{subject: s}
	older, err := b.load(c)
	if err != nil {
		return nil, nil, err
	}
	m := newMerge(c, Addition{Subject: s}, older)
	said, others := m.leaveOutShared(), map[string]int{}
	for _, h := range m.older {
		for _, e := range h.entries {
			if e.from == (ID{}) && e.licence != "" && e.licence != licence {
				m.gone[e.id] = true
				others[e.licence]++
				said--
			}
		}
	}
	if said == 0 {
		return nil, others, ErrUnknownSubject
	}
	content, err := m.read(m.heldFiles())
	return content, others, damage(s, err)
}

// leaveOutShared marks what came from other shops as gone, and counts what is
// left.
func (m *merge) leaveOutShared() (left int) {
	for _, h := range m.older {
		for _, e := range h.entries {
			if e.from != (ID{}) {
				m.gone[e.id] = true
			} else {
				left++
			}
		}
	}
	return left
}
