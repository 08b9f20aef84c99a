package calc

// groups are the stages of the work in order. An entry belongs to the first stage whose
// below is greater than its Order.
var groups = []struct {
	title      string
	belowOrder int
}{
	{"Cloth and soak", 14},
	{"Amounts of dye", 24},
	{"In the dye water", 60},
	{"Dyeing", 70},
	{"After dyeing", 90},
	{"Cost and units", 100},
}

// groupOf returns the title of the stage that an Order belongs to, "" beyond the last.
func groupOf(order int) string {
	for _, g := range groups {
		if order < g.belowOrder {
			return g.title
		}
	}
	return ""
}
