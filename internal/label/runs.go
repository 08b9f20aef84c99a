package label

import "strconv"

// GatherRuns lists numbers of labels in their order, and three or more in a row as one text:
// "1 to 24". Numbers with a letter stay as they are.
func GatherRuns(numbers []string) []string {
	isNext := func(i int) bool {
		a, err := strconv.Atoi(numbers[i-1])
		b, wrong := strconv.Atoi(numbers[i])
		return err == nil && wrong == nil && b == a+1
	}
	var parts []string
	for i := 0; i < len(numbers); {
		end := i + 1
		for end < len(numbers) && isNext(end) {
			end++
		}
		if end-i > 2 {
			parts = append(parts, numbers[i]+" to "+numbers[end-1])
		} else {
			parts = append(parts, numbers[i:end]...)
		}
		i = end
	}
	return parts
}
