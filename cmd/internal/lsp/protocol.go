package lsp

// What goes over the wire, as far as it is used, by the names of the
// specification. Fields that may be left out are left out when empty.

// position is a place in a document: 0-based line, and units of the encoding
// agreed on from the start of the line (section Position).
type position struct {
	Line      uint32 `json:"line"`
	Character uint32 `json:"character"`
}

// textRange is half-open (section Range).
type textRange struct {
	Start position `json:"start"`
	End   position `json:"end"`
}

type location struct {
	URI   string    `json:"uri"`
	Range textRange `json:"range"`
}

type textEdit struct {
	Range   textRange `json:"range"`
	NewText string    `json:"newText"`
}

type documentID struct {
	URI string `json:"uri"`
}

// versionedID names a document in one version; nil for one that is not open.
type versionedID struct {
	URI     string `json:"uri"`
	Version *int32 `json:"version"`
}

// placeParams are the parameters of requests about a place.
type placeParams struct {
	Document documentID `json:"textDocument"`
	Position position   `json:"position"`
}

// documentParams are the parameters of requests about a document.
type documentParams struct {
	Document documentID `json:"textDocument"`
}

type markup struct {
	Kind  string `json:"kind"`
	Value string `json:"value"`
}

// documentEdit is edits of one document in one version (section
// TextDocumentEdit).
type documentEdit struct {
	Document versionedID `json:"textDocument"`
	Edits    []textEdit  `json:"edits"`
}

// workspaceEdit has one of the two, as the client can read it.
type workspaceEdit struct {
	Changes         map[string][]textEdit `json:"changes,omitempty"`
	DocumentChanges []documentEdit        `json:"documentChanges,omitempty"`
}

// diagnosticItem is a complaint (section Diagnostic).
type diagnosticItem struct {
	Range    textRange     `json:"range"`
	Severity int           `json:"severity"`
	Code     string        `json:"code"`
	Source   string        `json:"source"`
	Message  string        `json:"message"`
	Related  []relatedItem `json:"relatedInformation,omitempty"`
}

type relatedItem struct {
	Location location `json:"location"`
	Message  string   `json:"message"`
}

type publishParams struct {
	URI         string           `json:"uri"`
	Version     *int32           `json:"version,omitempty"`
	Diagnostics []diagnosticItem `json:"diagnostics"`
}

// client is what the client can do (section Initialize Request).
type client struct {
	General struct {
		PositionEncodings []string `json:"positionEncodings"`
	} `json:"general"`
	TextDocument struct {
		Hover struct {
			ContentFormat []string `json:"contentFormat"`
		} `json:"hover"`
		Completion struct {
			Item struct {
				DocumentationFormat []string `json:"documentationFormat"`
			} `json:"completionItem"`
		} `json:"completion"`
		DocumentSymbol struct {
			Hierarchical bool `json:"hierarchicalDocumentSymbolSupport"`
		} `json:"documentSymbol"`
		Rename struct {
			Prepare bool `json:"prepareSupport"`
		} `json:"rename"`
		CodeAction struct {
			Literals *struct{} `json:"codeActionLiteralSupport"`
		} `json:"codeAction"`
		Diagnostics struct {
			Related bool `json:"relatedInformation"`
			Version bool `json:"versionSupport"`
		} `json:"publishDiagnostics"`
		Folding struct {
			Limit *int `json:"rangeLimit"`
		} `json:"foldingRange"`
	} `json:"textDocument"`
	Workspace struct {
		Edit struct {
			DocumentChanges bool `json:"documentChanges"`
		} `json:"workspaceEdit"`
		Watching struct {
			Dynamic bool `json:"dynamicRegistration"`
		} `json:"didChangeWatchedFiles"`
	} `json:"workspace"`

	encoding encoding // agreed on
}

// markdown reports whether one of the formats that a client lists is Markdown,
// before plain text.
func markdown(formats []string) bool { return len(formats) > 0 && formats[0] == "markdown" }
