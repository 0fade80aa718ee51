// Package sequence decides which test comes next: numbers in, numbers out. It
// knows states, tests with outcomes, and what they cost, and nothing of boards.
//
// # The problem
//
// One state s of several is true; the weight w(s) says how likely each is, and
// sums up to 1. A test t costs c(t) and has the outcome o with probability
// P(o | s, t). That covers tests that never err, tests with error rates, and
// outcomes of any number. After an outcome Bayes's rule holds:
//
//	w'(s) = w(s) P(o | s, t) / P(o),   P(o) = Σ_s w(s) P(o | s, t)
//
// The entropy H(w) = -Σ w lg w says how many bits are missing. What a test tells
// in the mean is I(t) = H(w) - Σ_o P(o) H(w after o). It depends on how much
// weight m each row r of the test has only:
//
//	I(t) = H(Σ_r m_r P(· | r)) - Σ_r m_r H(P(· | r))
//
// so that it takes one look at each state (C. E. Shannon, A mathematical theory
// of communication, 1948).
//
// Set-ups are lasting changes, each with a cost to make it and to undo it: a lid
// off, halves apart. A test that needs one pays for it unless it is made, and
// leaves it made. In the literature they are mode changes (Ruan, Tu, Pattipati,
// Patterson-Hine, multimode test sequencing, 2004).
//
// # The plan
//
// Tests are made until one state has at least the chance Sure, or until no test
// that can be made tells anything worth while (Bits). Then E(w, mode) is paid, what
// it costs in the mean to mend what is true (End). A plan is what to do after which
// outcomes; the best is the one with the least mean cost J,
//
//	J(w, mode) = min_t [ c(t, mode) + Σ_o P(o | w, t) J(w after o, mode after t) ]
//
// and J = E where no more is asked. To find it is NP-hard (Hyafil and Rivest 1976).
// Next first follows a base policy, which is to take the test that tells most per
// cost. Of a test that mends states, such as to lift a part, only that part of the
// cost counts that would not have to be paid in the end: c(t) - Σ_s w(s) Mend(s) over
// the states that it mends. Without E in the plan, much was asked to be spared a lift
// that had to be made anyway: jobs on real boards without covers took longer than by
// halving that ignores costs. What a test costs that
// needs a set-up is shared by those that need the same: of the tests b(1), b(2), …
// of a set-up that costs u, by bits per cost, the best k count together,
//
//	max_k Σ_i 0.7^(i-1) b(i) / (u + Σ_i c(i))
//
// since each tells less after the others. Without that a dear set-up after which
// much is cheap, such as boards to be unsoldered, was put off for longer than it
// paid: of simulated jobs on a stack of 300 parts the minutes fell by two fifths.
//
// Most per cost alone can be a third above the best, and looking two steps ahead at
// the entropy does not cure it. So it looks ahead in costs: for each promising first
// test, each outcome and each promising second test, what the base policy would
// go on to cost (rollout; Tu and Pattipati 2003). A plan of that kind is never
// worse than the base policy where all was followed to the end. Where that takes too
// long, what is come to seldom is a guess: each missing bit is taken to cost what it
// costs the base policy in the mean, tests and set-ups that are not made each for
// themselves. A guess must not speak for a test: another one than that of the base
// policy is taken only if it is better even if all that is a guess of it comes to
// twice as much. Without that, jobs on a stack of 5,000 parts took three times as
// long, as little can be followed there.
//
// Then it looks for the best plan there is, by depth-first search in J with
// what was found before as a bound, best first, each belief once, within a stated
// amount of work. If the search ends, the plan is the best one, and says so. What bounds J from below, where all tests
// are exact and each state is to be told from the others, is the cheapest test
// times the length of a Huffman code of the weights, with as many letters as a
// test has outcomes: no tree of tests is shorter. Where errors are mere chance, it
// is the entropy that must go at least, by the most that a test tells per cost.
// Where a test that errs can be made once only, it may be that no state is ever
// sure, so there is only one cheapest test to count on.
package sequence
