package copper

// Node is a point of a circuit.
type Node int32

// None is no node.
const None Node = -1

// Circuit is nodes and resistors between them. The zero Circuit has none.
type Circuit struct {
	wired []Node // of each node another one that it is wired to, or itself
	links []link
}

type link struct {
	a, b    Node
	siemens float64
}

// Node adds a node.
func (c *Circuit) Node() Node {
	n := Node(len(c.wired))
	c.wired = append(c.wired, n)
	return n
}

// Nodes is how many nodes there are.
func (c *Circuit) Nodes() int { return len(c.wired) }

// least is what counts as no resistance at all, in ohms.
const least = 1e-12

// Resistor puts some ohms between two nodes. With next to none they are wired.
func (c *Circuit) Resistor(a, b Node, ohms float64) {
	if !(ohms > least) {
		c.Wire(a, b)
		return
	}
	c.links = append(c.links, link{a, b, 1 / ohms})
}

// Wire makes two nodes one.
func (c *Circuit) Wire(a, b Node) {
	a, b = c.root(a), c.root(b)
	c.wired[max(a, b)] = min(a, b)
}

// root is the node that stands for all that are wired to each other.
func (c *Circuit) root(n Node) Node {
	for c.wired[n] != n {
		c.wired[n] = c.wired[c.wired[n]]
		n = c.wired[n]
	}
	return n
}
