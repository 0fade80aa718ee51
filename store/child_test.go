package store_test

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"
	"time"

	"netlore/store"
	"netlore/store/board"
	"netlore/store/sheet"
)

// The tests on several processes start this test binary again, with a task in
// the environment. A child says "ready" when it has done the first half of its
// task, and ends when its input does.
const taskVariable = "NETLORE_STORE_TEST_TASK"

func TestMain(m *testing.M) {
	task := os.Getenv(taskVariable)
	if task == "" {
		os.Exit(m.Run())
	}
	name, dir, _ := strings.Cut(task, " ")
	if err := runTask(name, dir); err != nil {
		fmt.Println("failed:", err)
		os.Exit(1)
	}
}

func runTask(name, dir string) error {
	if looks, ok := strings.CutPrefix(name, "import-"); ok {
		return importTask(dir, looks)
	}
	if steps, ok := strings.CutPrefix(name, "log-"); ok {
		return logTask(dir, steps)
	}
	if words, ok := strings.CutPrefix(name, "purge-"); ok {
		return purgeTask(dir, words)
	}
	base, err := store.Open(context.Background(), dir, store.Options{ReadOnly: name == "read"})
	if err != nil {
		return err
	}
	waitForEnd()
	return base.Close()
}

// waitForEnd says that the child is ready, and returns when its input ends.
func waitForEnd() {
	fmt.Println("ready")
	io.Copy(io.Discard, os.Stdin)
}

// importTask adds a large board and stands still when the context has been
// looked at so many times; -1 is to stand still at the end.
func importTask(dir, looks string) error {
	n, err := strconv.Atoi(looks)
	if err != nil {
		return err
	}
	base, err := store.Open(context.Background(), dir, store.Options{})
	if err != nil {
		return err
	}
	ctx := &stopping{Context: context.Background(), looks: n}
	if _, err := base.Add(ctx, largeAddition()); err != nil {
		return err
	}
	waitForEnd()
	return base.Close()
}

// logTask adds so many steps to job 1, each as a command does, and says which
// number each has got once it is told that it is on disk.
func logTask(dir, steps string) error {
	n, err := strconv.Atoi(steps)
	if err != nil {
		return err
	}
	fmt.Println("ready")
	for i := range n {
		base, err := store.Open(context.Background(), dir, store.Options{Wait: time.Minute})
		if err != nil {
			return err
		}
		remark := fmt.Sprintf("%d.%d", os.Getpid(), i)
		j, err := base.Log(context.Background(), "1", `note "`+remark+`"`, "bench-1")
		if err != nil {
			return err
		}
		fmt.Println(len(j.Steps), remark)
		if err := base.Close(); err != nil {
			return err
		}
	}
	return nil
}

// stopping is a context that stands still when it is looked at the nth time.
type stopping struct {
	context.Context
	looks int
}

func (s *stopping) Err() error {
	if s.looks--; s.looks == 0 {
		waitForEnd()
	}
	return nil
}

// largeParts is more parts than one transaction of the store can hold.
const largeParts = 14_000

func largeAddition() store.Addition {
	var s strings.Builder
	s.WriteString("netlore 1\nboard Plover-P rev 2\n\n")
	for i := range largeParts {
		fmt.Fprintf(&s, "part C%d 100nF 0402 top at %d,%d\n", i+1, i%200, i/200)
	}
	file, _ := sheet.Parse("large.lore", []byte(s.String()))
	return store.Addition{Subject: plover, Files: []*sheet.File{file}, Author: "bench-1"}
}

var plover = store.BoardSubject(board.Ref{Name: "Plover-P", Revision: "2"})

// small is a sheet that a base has before something is done to it.
func small(t testing.TB, text string) store.Addition {
	t.Helper()
	file, list := sheet.Parse("small.lore", []byte("netlore 1\nboard Plover-P rev 2\n\n"+text))
	if err := list.Err(); err != nil {
		t.Fatal(err)
	}
	return store.Addition{Subject: plover, Files: []*sheet.File{file}, Author: "bench-1"}
}

// child is another process at work on a base.
type child struct {
	cmd   *exec.Cmd
	input io.WriteCloser
	out   *bufio.Reader // what it says after that it is ready
}

// startChild starts a task and waits until the child is ready.
func startChild(t *testing.T, name, dir string) *child {
	t.Helper()
	c := &child{cmd: exec.Command(os.Args[0])}
	c.cmd.Env = append(os.Environ(), taskVariable+"="+name+" "+dir)
	c.cmd.Stderr = os.Stderr
	var err error
	if c.input, err = c.cmd.StdinPipe(); err != nil {
		t.Fatal(err)
	}
	out, err := c.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.kill() })
	c.out = bufio.NewReader(out)
	line, err := c.out.ReadString('\n')
	if line != "ready\n" {
		t.Fatalf("the other process says %q, %v", line, err)
	}
	return c
}

// pid is the number of the child's process.
func (c *child) pid() int { return c.cmd.Process.Pid }

// end lets the child finish its task.
func (c *child) end(t *testing.T) {
	t.Helper()
	c.input.Close()
	if err := c.cmd.Wait(); err != nil {
		t.Fatal(err)
	}
}

// kill ends the child as kill -9 does.
func (c *child) kill() {
	c.cmd.Process.Kill()
	c.cmd.Wait()
}

// endLater lets the child finish after a while.
func (c *child) endLater(after time.Duration) {
	time.AfterFunc(after, func() { c.input.Close() })
}
