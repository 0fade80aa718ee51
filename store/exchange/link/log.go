package link

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
)

// streamOf and subjectOf are what a log is called on the server.
func streamOf(log string) string { return "netlore-" + log }

func subjectOf(log string) string { return "netlore." + log }

const (
	// copiesInCluster is on how many servers of a cluster a log lies.
	copiesInCluster = 3
	// headRoom is what the server counts of a message beside what is in it.
	headRoom = 4 << 10
	// sameWithin is how long the server keeps in mind what was put there, to leave out
	// the same again. Its memory grows with it, and receivers leave it out anyway.
	sameWithin = 2 * time.Minute
)

// config is how a log is made. Nothing is ever dropped to make room: what is old is
// as good as what is new, and whoever has it would put it there again.
func config(log string) jetstream.StreamConfig {
	return jetstream.StreamConfig{Name: streamOf(log), Subjects: []string{subjectOf(log)}, Description: "signed batches of netlore",
		Retention: jetstream.LimitsPolicy, Discard: jetstream.DiscardNew, MaxMsgs: -1, MaxBytes: -1, MaxConsumers: -1, MaxMsgSize: MostBytes + headRoom,
		Duplicates: sameWithin, Storage: jetstream.FileStorage, Compression: jetstream.S2Compression, Replicas: copiesInCluster}
}

// openLog looks up the log, and makes it if there is none.
func openLog(ctx context.Context, js jetstream.JetStream, log string) (stream jetstream.Stream, made bool, err error) {
	stream, err = js.Stream(ctx, streamOf(log))
	if !errors.Is(err, jetstream.ErrStreamNotFound) {
		return stream, false, err
	}
	c := config(log)
	stream, err = js.CreateStream(ctx, c)
	if isAPI(err, apiNotClustered) {
		c.Replicas = 1
		stream, err = js.CreateStream(ctx, c)
	}
	if errors.Is(err, jetstream.ErrStreamNameAlreadyInUse) { // another bench was quicker, and has made it otherwise
		stream, err = js.Stream(ctx, streamOf(log))
		return stream, false, err
	}
	return stream, err == nil, err
}

// Codes of the server for which the library has no name.
const (
	apiAccountFull  = 10002
	apiNoRoom       = 10023
	apiNoMemory     = 10028
	apiNoDisk       = 10047
	apiNotClustered = 10074
	apiNotStored    = 10077
)

func isAPI(err error, codes ...jetstream.ErrorCode) bool {
	var api *jetstream.APIError
	if !errors.As(err, &api) {
		return false
	}
	for _, c := range codes {
		if api.ErrorCode == c {
			return true
		}
	}
	return false
}

// failed words what went wrong with a log on a server that was reached. Denied is
// what the server has said, apart from any answer, that this bench may not do.
func (s *Server) failed(log string, err, denied error) error {
	switch {
	case err != nil && denied != nil:
		return complaint(codeDenied, s.String(), fmt.Sprintf("this bench may not do what it must with the log %s: %s", log, strings.TrimPrefix(denied.Error(), "nats: ")))
	case err == nil || isOurs(err) || errors.Is(err, errBack):
		return err
	case errors.Is(err, jetstream.ErrJetStreamNotEnabled), errors.Is(err, jetstream.ErrJetStreamNotEnabledForAccount), errors.Is(err, nats.ErrNoResponders):
		return complaint(codeNoLogs, s.String(), "the server keeps no logs: it runs without JetStream")
	case isAPI(err, apiAccountFull, apiNoRoom, apiNoMemory, apiNoDisk), isAPI(err, apiNotStored) && strings.Contains(err.Error(), "maximum"):
		return complaint(codeFull, s.String(), fmt.Sprintf("the log %s is full, so what this bench has new cannot be put there; it stays here", log))
	case errors.Is(err, nats.ErrMaxPayload):
		return complaint(codeLarge, s.String(), "the server takes smaller messages than a batch can be")
	case errors.Is(err, context.DeadlineExceeded), errors.Is(err, nats.ErrTimeout), errors.Is(err, jetstream.ErrNoHeartbeat), errors.Is(err, jetstream.ErrConnectionClosed), errors.Is(err, nats.ErrConnectionClosed):
		return complaint(codeServer, s.String(), "the server does not answer any more")
	case errors.Is(err, jetstream.ErrConsumerDeleted), errors.Is(err, jetstream.ErrStreamNotFound), errors.Is(err, jetstream.ErrConsumerNotFound):
		return complaint(codeGone, s.String(), fmt.Sprintf("the log %s was cleared or made anew while it was read", log))
	}
	return complaint(codeServer, s.String(), "the server could not do it: "+strings.TrimPrefix(err.Error(), "nats: "))
}

// Holds is what a log holds, as its server says.
type Holds struct {
	Server    string
	Made      time.Time
	Messages  uint64
	Bytes     uint64
	Last      uint64 // place of the last message
	MostBytes int64  // that it may have; -1 if it has no limit of its own
	Copies    int

	log logState
}

// After is how many messages there are after a place.
func (h *Holds) After(place uint64) uint64 { return h.log.between(place, h.Last) }

// Look asks a server what a log holds.
func Look(ctx context.Context, server *Server, log string) (*Holds, error) {
	s := session{server: server, opt: Options{Log: log, Patience: DefaultPatience}}
	var info *jetstream.StreamInfo
	var at string
	err := s.connected(ctx, func(ctx context.Context) (err error) {
		at = s.nc.ConnectedUrlRedacted()
		asked, stop := s.asked(ctx)
		defer stop()
		if s.stream, err = s.js.Stream(asked, streamOf(log)); errors.Is(err, jetstream.ErrStreamNotFound) {
			return complaint(codeGone, server.String(), fmt.Sprintf("the server has no log %s", log), "netlore link makes it")
		}
		if err == nil {
			info, err = s.look(ctx)
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	return &Holds{at, info.Created, info.State.Msgs, info.State.Bytes, info.State.LastSeq, info.Config.MaxBytes, info.Config.Replicas, s.log}, nil
}
