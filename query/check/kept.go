package check

// Keep gives what is kept with the question under a key, and makes it first if
// nothing is: whatever follows from the question and its scope, so that one that
// is asked again need not be prepared again. It must not be changed. Many
// goroutines may ask; two that ask first may both make it, and get the same one.
// Keys compare as those of a map; each package uses keys of a type of its own.
// Copies of a question keep the same things.
func (q *Question) Keep(key any, make func() any) any {
	if q.kept == nil {
		return make() // no Asked made the question
	}
	if made, ok := q.kept.Load(key); ok {
		return made
	}
	made, _ := q.kept.LoadOrStore(key, make())
	return made
}
