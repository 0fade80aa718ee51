package mirror

// Explain returns the text about a code of this package: what is meant, why it is
// so, and what to do.
func Explain(code string) (string, bool) {
	text, ok := explanations[code]
	return text, ok
}

var explanations = map[string]string{
	"X301": `Two benches of one shop have changed the same sheet, and git has written both
versions into it, one below the other. Each statement has a signature of its
own, so both sides are read, and what is signed is taken. The sheet is then
written anew with all of it, in order. Tell git that it is settled: git add
FILE, then git commit.`,
	"X302": `A statement in the folder counts only with the signature of the shop that says
so. This one is in no manifest beside the sheet: somebody has written it by
hand. If it is right, netlore add FILE takes the sheet on your own word; the
next mirror then signs it. If not, delete the line.`,
	"X303": `The statement was signed, and reads otherwise now: its hash is not the one that
was signed. Nobody's word can be changed but by himself. What was signed stays
in the base. If the change is right, netlore add FILE --correct takes it on your
own word; if not, git checkout FILE brings the signed one back.`,
	"X304": `The sheet is empty, does not begin with the line "netlore 1", or ends within a
line: it was cut short, or is none. What stands whole before the cut and is
signed is taken. git checkout FILE brings the last version back. A sheet of your
own can be deleted: the next mirror writes it anew out of the base.`,
	"X305": `A batch is two files of one name: a manifest, which lists the statements by
their hashes, and the signature on it. One without the other proves nothing. git
checkout brings back what is missing.`,
	"X306": `Only plain files are read, and nothing outside the folder: a link could lead
anywhere. A file that may not be read by you, or is gone while it is to be read,
is left out, and the rest goes on.`,
	"X307": `A file of the folder that is larger than anything netlore mirror writes is not
read, and neither are more batches of one shop on one board than a shop makes in
a lifetime, so that memory and time stay bounded. It was made by something else.`,
	"X308": `The manifests list statements that no sheet has. The shop may have left them
out, or somebody has removed a sheet or a line. That takes nothing from the
base: a statement ends only by the signed word of the shop that made it. A sheet
of your own is written anew; to take back what you have shared, remove it from
the base, and the next mirror withdraws it.`,
	"X309": `A sheet of your own shop holds lines that nobody has signed, and it would have
to be written anew. That would lose them, so it was left as it is. Take them
with netlore add FILE, which puts them in the base on your own word; or delete
the lines, or the whole sheet, and run netlore mirror again.`,
	"X310": `A sheet of the mirror lies in the folder of a board in the folder of a shop,
with its signatures beside it: SHOP/BOARD/notes.lore. A sheet in any other place
cannot be signed, so it is not read. netlore add FILE takes it, on your own
word.`,
}
