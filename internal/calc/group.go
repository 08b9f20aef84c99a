package calc

// groups are the stages of the work, in their order, each with the Order from
// which the next stage begins.
var groups = []struct {
	title string
	below int
}{
	{"Cloth and soak", 14},
	{"Amounts of dye", 24},
	{"In the dye water", 60},
	{"Dyeing", 70},
	{"After dyeing", 90},
	{"Cost and units", 100},
}

// groupOf gives the title of the stage that an Order belongs to.
func groupOf(order int) string {
	for _, g := range groups {
		if order < g.below {
			return g.title
		}
	}
	return ""
}
