package bench

import "net/http"

// Route is a route as tests see it: all that can be asked for is in this table.
type Route struct {
	At     string
	Enters bool // it is what lets in
	Open   bool // to who has not been let in
	Looks  bool // guests may, too
	Works  bool // whoever was let in to work may, too
}

// NetworkRoutes are those to which the network leads.
func NetworkRoutes() (all []Route) {
	nobody := func(http.ResponseWriter, *http.Request) {}
	g := &gate{opens: []route{{"GET /pair", toKnock, nobody}, {"POST /pair", toKnock, nobody}}}
	for i, rt := range new(Server).routes(g) {
		all = append(all, Route{rt.at, i < len(g.opens), rt.needs == toKnock, rt.needs <= toLook, rt.needs <= toWork})
	}
	return all
}
