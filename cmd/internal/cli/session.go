package cli

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"netlore/cmd/internal/render"
	"netlore/query"
	"netlore/query/diag"
	"netlore/store"
	"netlore/store/board"
)

// session is one run of the shell: what is asked, and what was asked last.
type session struct {
	app   *app
	opt   askOptions
	style render.Style
	said  int // how many lines were understood

	questions []board.SavedQuestion // that are saved
}

// errQuit says that the user wants to leave.
var errQuit = errors.New("the user leaves")

// prompt is what stands before a line that is to be typed.
const prompt = "netlore> "

// prompt names what is asked.
func (s *session) prompt() string {
	if s.opt.on != "" {
		return s.opt.on + "> "
	}
	return prompt
}

// between puts an empty line between two answers for people and files.
func (s *session) between() {
	if s.said++; s.said > 1 && s.style.Format != render.JSON {
		s.app.print("\n")
	}
}

// commands are what can be said besides questions. None begins as a question
// can.
var commands = map[string]func(s *session, ctx context.Context, rest string) error{
	"help": func(s *session, _ context.Context, rest string) error { return s.help(rest) },
	"?":    func(s *session, _ context.Context, rest string) error { return s.help(rest) },
	"quit": func(*session, context.Context, string) error { return errQuit },
	"exit": func(*session, context.Context, string) error { return errQuit },
	"on":   (*session).on,
	"save": (*session).save,
	"saved": func(s *session, ctx context.Context, rest string) error {
		return runSaved(ctx, s.app, strings.Fields(rest))
	},
	"forget":  (*session).forget,
	"explain": (*session).explain,
}

// say answers one line: a command, or a question.
func (s *session) say(ctx context.Context, line string) error {
	line = strings.TrimSpace(strings.NewReplacer("\\\n", " ", "\n", " ").Replace(line))
	word, rest, _ := strings.Cut(line, " ")
	if line == "" {
		return nil
	}
	if do := commands[strings.ToLower(word)]; do != nil {
		return do(s, ctx, strings.TrimSpace(rest))
	}
	return s.ask(ctx, line)
}

// ask answers a question, which it is then.
func (s *session) ask(ctx context.Context, question string) error {
	if word, _, _ := strings.Cut(question, " "); s.opt.it == "" && strings.EqualFold(word, query.It) {
		return hint(errors.New("there is no last answer yet that it could be"), "ask a question first, then for example: it under shield")
	}
	opt, reading := s.opt, ""
	opt.heard = func(read string) { reading = read }
	err := s.app.question(ctx, opt, s.style, question)
	if reading != "" && !strings.HasPrefix(reading, "why ") && (err == nil || exitCode(err) == exitLimit) {
		s.opt.it = unplanned(reading)
	}
	return err
}

// unplanned is the question whose plan was asked.
func unplanned(reading string) string {
	inside, ok := strings.CutPrefix(reading, "plan of (")
	if ok && strings.HasSuffix(inside, ")") {
		return strings.TrimSuffix(inside, ")")
	}
	return reading
}

// on changes what is asked, or tells it.
func (s *session) on(ctx context.Context, name string) error {
	if name == "" {
		if s.opt.on == "" {
			return s.app.line("asked is the only board or stack, or what a question names; on NAME chooses one")
		}
		return s.app.line("asked is %s", s.opt.on)
	}
	name = strings.Trim(name, `"`)
	return s.app.reading(ctx, func(base *store.Base) error {
		wanted, revision, _ := strings.Cut(name, " rev ")
		found, err := find(base, wanted, revision)
		switch {
		case err != nil:
			return err
		case found.Shared():
			return errors.New("questions are asked of a board or a stack")
		}
		s.opt.on = found.Ref.Name
		if revision != "" {
			s.opt.on += " rev " + found.Ref.Revision
		}
		return nil
	})
}

// save keeps a question, or the last one.
func (s *session) save(ctx context.Context, rest string) error {
	name, question, _ := strings.Cut(rest, " ")
	if question = strings.TrimSpace(question); question == "" {
		question = s.opt.it
	}
	if name == "" || question == "" {
		return hint(errors.New("say the name, then the question: save biglids hidden capacitors"), "save biglids alone saves the last question")
	}
	return runSave(ctx, s.app, append([]string{name}, strings.Fields(question)...))
}

func (s *session) forget(ctx context.Context, name string) error {
	if name == "" {
		return errors.New("name the saved question to forget")
	}
	return runForget(ctx, s.app, name)
}

func (s *session) explain(_ context.Context, code string) error {
	if code == "" {
		return errors.New("name the code of a complaint, such as Q12 or S201")
	}
	return runExplain(s.app, code)
}

// refresh reads which questions are saved, for completion and colours.
func (s *session) refresh(ctx context.Context) {
	quiet := *s.app
	quiet.completing(ctx, func(base *store.Base) error {
		all, err := base.Catalogue(ctx)
		if err == nil {
			s.questions = all.Questions
		}
		return err
	})
}

// offers are what can stand at a byte of a line: commands at its start, else
// what a question can go on with.
func (s *session) offers(ctx context.Context, line string, at int) (offers []offer, replace diag.Range) {
	quiet := *s.app
	quiet.completing(ctx, func(base *store.Base) error {
		found := query.Complete(ctx, base, query.Options{On: s.opt.on, It: s.opt.it}, line, at)
		replace = found.Replace
		for _, o := range found.Offers {
			offers = append(offers, offer{o.Text, o.Sort})
		}
		return nil
	})
	if word := line[:at]; !strings.Contains(word, " ") {
		for _, c := range []string{"help", "on", "save", "saved", "forget", "explain", "quit"} {
			if strings.HasPrefix(c, strings.ToLower(word)) {
				offers = append(offers, offer{c, "command"})
			}
		}
		replace = diag.Range{Start: 0, End: at}
	}
	return offers, replace
}

// offer is something that can be put into a line, and what it is.
type offer struct{ text, sort string }

func (o offer) String() string { return fmt.Sprintf("%s (%s)", o.text, o.sort) }
