package store

import (
	"bytes"
	"context"
	"maps"
	"slices"
	"strings"
	"sync"
)

// memory is the in-memory twin of the store on disk: for tests, and for the
// demonstration, which should leave nothing behind.
type memory struct {
	mu   sync.RWMutex
	data map[string][]byte
}

func newMemory() *memory { return &memory{data: map[string][]byte{}} }

func (m *memory) view(read func(reader) error) error {
	m.mu.RLock()
	defer m.mu.RUnlock()
	return read(memoryState{m.data})
}

// update works on a copy, which takes the place of the data when all went well.
func (m *memory) update(change func(writer) error) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	state := memoryState{maps.Clone(m.data)}
	if err := change(state); err != nil {
		return err
	}
	m.data = state.data
	return nil
}

func (m *memory) bulk(ctx context.Context, puts func(put func(key, value []byte) error) error) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	return puts(func(key, value []byte) error {
		if err := ctx.Err(); err != nil {
			return err
		}
		return memoryState{m.data}.put(key, value)
	})
}

func (m *memory) close() error { return nil }

func (m *memory) flatten() error { return nil }

type memoryState struct{ data map[string][]byte }

func (s memoryState) get(key []byte) ([]byte, error) {
	value, ok := s.data[string(key)]
	if !ok {
		return nil, errNoKey
	}
	return bytes.Clone(value), nil
}

func (s memoryState) scan(prefix []byte, fn func(key, value []byte) error) error {
	var keys []string
	for key := range s.data {
		if strings.HasPrefix(key, string(prefix)) {
			keys = append(keys, key)
		}
	}
	slices.Sort(keys)
	for _, key := range keys {
		if err := fn([]byte(key), s.data[key]); err != nil {
			return err
		}
	}
	return nil
}

func (s memoryState) put(key, value []byte) error {
	s.data[string(key)] = bytes.Clone(value)
	return nil
}

func (s memoryState) delete(key []byte) error {
	delete(s.data, string(key))
	return nil
}
