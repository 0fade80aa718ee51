package lsp

import "encoding/json"

// requests are what a client can ask for, besides initialize and shutdown.
var requests = map[string]handler{
	"textDocument/completion":        asking((*view).completion),
	"textDocument/hover":             asking((*view).hover),
	"textDocument/definition":        asking((*view).definition),
	"textDocument/references":        asking((*view).references),
	"textDocument/documentHighlight": asking((*view).highlight),
	"textDocument/prepareRename":     asking((*view).prepareRename),
	"textDocument/rename":            asking((*view).rename),
	"textDocument/formatting":        asking((*view).formatting),
	"textDocument/documentSymbol":    asking((*view).symbols),
	"textDocument/foldingRange":      asking((*view).folding),
	"textDocument/codeAction":        asking((*view).codeActions),
	"workspace/symbol":               asking((*view).find),
}

// notifications are what a client can tell, besides exit. Without parameters
// that can be read, nothing is done.
var notifications = map[string]func(s *server, params json.RawMessage){
	"initialized":                     telling((*server).begin),
	"$/cancelRequest":                 telling((*server).cancelRequest),
	"textDocument/didOpen":            telling((*server).didOpen),
	"textDocument/didChange":          telling((*server).didChange),
	"textDocument/didClose":           telling((*server).didClose),
	"textDocument/didSave":            telling(func(s *server, _ documentParams) { s.touch() }),
	"workspace/didChangeWatchedFiles": telling(func(s *server, _ struct{}) { s.touch() }),
}

type initializeParams struct {
	Capabilities client `json:"capabilities"`
}

// initialize agrees with the client on what each can do.
func (s *server) initialize(params json.RawMessage) (any, error) {
	if s.state != fresh {
		return nil, &failure{codeInvalidRequest, "initialize has been asked for already"}
	}
	var p initializeParams
	if err := json.Unmarshal(params, &p); err != nil {
		return nil, &failure{codeInvalidParams, "the parameters cannot be read: " + err.Error()}
	}
	s.client = p.Capabilities
	s.client.encoding = agree(s.client.General.PositionEncodings)
	s.docs = &documents{}
	s.state = initialized
	return object{"serverInfo": object{"name": "netlore", "version": s.Version}, "capabilities": s.capabilities()}, nil
}

type object map[string]any

// capabilities is what the server can do (section Server Capabilities).
func (s *server) capabilities() object {
	const incremental = 2
	var rename, actions any = true, true
	if s.client.TextDocument.Rename.Prepare {
		rename = object{"prepareProvider": true}
	}
	if s.client.TextDocument.CodeAction.Literals != nil {
		actions = object{"codeActionKinds": []string{"quickfix"}}
	}
	return object{
		"positionEncoding":           encodingNames[s.client.encoding],
		"textDocumentSync":           object{"openClose": true, "change": incremental, "save": true},
		"completionProvider":         object{"triggerCharacters": []string{" ", ",", ":", ".", `"`}},
		"hoverProvider":              true,
		"definitionProvider":         true,
		"referencesProvider":         true,
		"documentHighlightProvider":  true,
		"renameProvider":             rename,
		"documentFormattingProvider": true,
		"documentSymbolProvider":     true,
		"workspaceSymbolProvider":    true,
		"foldingRangeProvider":       true,
		"codeActionProvider":         actions,
	}
}

// begin asks to be told of sheets that change on disk.
func (s *server) begin(struct{}) {
	if !s.client.Workspace.Watching.Dynamic {
		return
	}
	watch := object{"watchers": []object{{"globPattern": "**/*.lore"}}}
	s.request("client/registerCapability", object{"registrations": []object{
		{"id": "sheets", "method": "workspace/didChangeWatchedFiles", "registerOptions": watch}}})
}
