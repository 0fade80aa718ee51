package exchange

import "fmt"

// SignersLines are the shop in a file of allowed signers, by which ssh-keygen
// checks what its benches have signed, and what it says itself of its keys:
//
//	ssh-keygen -Y verify -f signers -I bench-1 -n netlore-batch -s 0001.sig < 0001.manifest
//
// The first line is for any bench that has a certificate of the shop, the second
// for what is signed with the shop's own key, whose signer is called "shop".
func (s Signer) SignersLines() string {
	key := s.Shop.AuthorizedKey()
	return fmt.Sprintf("* cert-authority,namespaces=%q %s %s\nshop namespaces=%q %s %s\n",
		BatchNamespace, key, s.Name, BatchNamespace+","+KeyNamespace, key, s.Name)
}
