package bench

// Explain returns the text about a code of this package: what is meant, why it is
// so, and what to do.
func Explain(code string) (string, bool) {
	text, ok := explanations[code]
	return text, ok
}

var explanations = map[string]string{
	// B1: opening the page to the network.
	"B101": `The page is opened at addresses and names of this computer, and is answered under no other. An address of another computer cannot be listened at,
and under a name that leads elsewhere nobody would find the page. netlore bench --network all opens it at every address that this computer has in
private networks; one in the public internet has to be named, and is better not.`,
	"B102": `A certificate and its key belong together, each in a file of the PEM form, as certbot and openssl write them. The certificate file begins with the
certificate of this computer, and those of the authorities between follow. Without --certificate the page makes one of its own.`,
	"B103": `A certificate is good for the names and addresses that stand in it, and for a time. A browser warns of any other, and whoever is used to
warnings goes on when there is reason for one. Have a certificate made for the address or name under which the page is opened, or leave
--certificate out: the page then makes one, and another when the addresses change or it runs out.`,

	// B2: who may do what on the page.
	"B201": `Whoever was let in as a guest may look at everything that could be shared, which photos and private details never are, and change nothing. To work on this device, have a new code made for a
tablet at the computer, and type it at the address /pair of the page.`,
	"B202": `Who is let in is decided at the computer on which netlore bench runs: in its terminal, or on the page as a browser of that computer shows it. A
tablet cannot let in others, so one that is stolen opens the way for nobody else. netlore bench send-away NAME ends it.`,
}
