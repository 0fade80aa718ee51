package store

import (
	"iter"
	"slices"

	"netlore/store/sheet"
)

// correct lets what the new statements say take the place of what held ones
// say otherwise. What a held statement says besides stays: whoever corrects a
// value does not want to lose the place. So the two are laid over each other as
// values, and each thing of which the canonical statement has changed is stated
// anew; the new entry supersedes the held ones on that thing. A pin that moves
// changes two nets.
func (m *merge) correct() error {
	older, err := m.read(m.heldFiles())
	if err != nil {
		return damage(m.add.Subject, err)
	}
	newer, err := m.read(m.files())
	if err != nil {
		return err
	}
	if m.otherDevice(older, newer) {
		if _, err := m.read(append(m.heldFiles(), m.files()...)); err != nil {
			return err
		}
	}
	before := map[string]string{}
	for _, b := range blocksOf(older) {
		before[b.Key] = b.Text
	}
	sources := m.sources()
	changed := map[string]bool{}
	byKey := m.byKey()
	for _, b := range blocksOf(correctContent(older, newer, m.add.Own)) {
		was := before[b.Key]
		delete(before, b.Key)
		if was == b.Text {
			continue
		}
		changed[b.Key] = true
		m.change.event.New++
		m.change.entries = append(m.change.entries, Entry{Text: b.Text, Source: sources[b.Key], Homes: m.homes(), Supersedes: m.supersede(byKey[b.Key])})
	}
	m.withdrawGone(before)
	m.repeat(changed)
	return nil
}

// repeat says what was stated and changes nothing: it is known already, unless it is other
// shops alone that say so.
func (m *merge) repeat(changed map[string]bool) {
	own := map[string]bool{}
	for key, e := range m.heldByKey() {
		own[key] = own[key] || e.from == (ID{})
	}
	for _, s := range m.stated {
		switch {
		case changed[s.Key]:
		case own[s.Key]:
			m.change.event.Known++
		default:
			own[s.Key] = true
			m.change.event.New++
			m.change.entries = append(m.change.entries, Entry{Text: s.Text, Source: s.source, Homes: s.homes()})
		}
	}
}

// withdrawGone withdraws what this base has said that the same author says otherwise now,
// by what it is about.
func (m *merge) withdrawGone(said map[string]string) {
	if len(said) == 0 {
		return
	}
	var gone []ID
	for key, e := range m.heldByKey() {
		if _, is := said[key]; is && e.from == (ID{}) && !m.gone[e.id] {
			gone = append(gone, m.supersede([]ID{e.id})...)
		}
	}
	for ids := range slices.Chunk(gone, maxIDs) {
		m.change.event.Withdrawn += len(ids)
		m.change.entries = append(m.change.entries, Entry{Retracts: ids})
	}
}

// supersede notes that entries will not hold any more.
func (m *merge) supersede(ids []ID) []ID {
	for _, id := range ids {
		m.gone[id] = true
	}
	return ids
}

// sources are where the new statements stand, by what they are about.
func (m *merge) sources() map[string]string {
	all := map[string]string{}
	for _, s := range m.stated {
		if all[s.Key] == "" {
			all[s.Key] = s.source
		}
	}
	return all
}

// byKey are the held entries by what they are about.
func (m *merge) byKey() map[string][]ID {
	all := map[string][]ID{}
	for key, e := range m.heldByKey() {
		all[key] = append(all[key], e.id)
	}
	return all
}

// heldByKey gives what each held entry is about, one after the other.
func (m *merge) heldByKey() iter.Seq2[string, *held] {
	return func(yield func(string, *held) bool) {
		for _, h := range m.older {
			for i := range h.entries {
				file, _ := sheet.Parse("", []byte("netlore 1\n"+h.entries[i].text))
				for _, b := range file.Blocks() {
					if !yield(b.Key, &h.entries[i]) {
						return
					}
				}
			}
		}
	}
}

func blocksOf(c *sheet.Content) []sheet.Block {
	file, _ := sheet.Parse("", sheet.Write(c))
	return file.Blocks()
}

// entryFile is a sheet of the entries that the change makes.
func (m *merge) entryFile() *sheet.File {
	m.corrections = newListing(m.corrections.name)
	for i := range m.change.entries {
		m.corrections.add(m.change.entries[i].Text, m.change.entries[i].Source)
	}
	return m.corrections.file()
}
