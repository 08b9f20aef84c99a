package journal

import (
	"encoding/json"
	"reflect"
	"strings"

	"coldbatch/internal/fault"
)

// Kind is one kind of fact: what may be written, what it applies to, and its words.
type Kind struct {
	Name          string
	Version       int    // of its body
	NeededVersion int    // the oldest batch.StateVersion that can show its subject truthfully
	Scopes        string // kinds of scope in which it may be written, separated by spaces
	Subject       Entity
	Effect        Effect
	Words         string // for a line of the history, without the facts of the body
	Description   string // for a developer

	newBody func() bodyChecker
}

// Entity is what a fact is about: what its subject is the id of.
type Entity string

// The entities. Any is for kinds whose subject may be any of them.
const (
	EntityAny      Entity = ""
	EntityBatch    Entity = "batch"
	EntityPiece    Entity = "piece"
	EntityColour   Entity = "colour"
	EntitySoak     Entity = "soak"
	EntityJug      Entity = "jug"
	EntityPrinting Entity = "printing" // of numbered blanks
	EntityBag      Entity = "bag"
	EntityPlace    Entity = "place"
	EntityStock    Entity = "stock"
	EntityDesign   Entity = "design"
	EntityPhone    Entity = "phone"
	EntityCalendar Entity = "calendar" // to which a program at home may subscribe
)

// Effect is what a kind of fact does to the state that is built from facts.
type Effect string

// The effects.
const (
	EffectBegins  Effect = "begins"  // its subject exists from then on, with the body's properties
	EffectSets    Effect = "sets"    // properties of its subject are the body's from then on
	EffectChanges Effect = "changes" // the builder of the state has a function for it
	EffectRemarks Effect = "remarks" // nothing: only the history shows it
)

// NewBody returns an empty body of the kind, to decode one into.
func (k Kind) NewBody() any { return k.newBody() }

// bodyChecker is a body that knows what it must hold.
type bodyChecker interface{ check() error }

// bodyOf makes the constructor of a kind's body of type T.
func bodyOf[T any, P interface {
	*T
	bodyChecker
}]() func() bodyChecker {
	return func() bodyChecker { return P(new(T)) }
}

// FindKind returns the kind of that name.
func FindKind(name string) (Kind, bool) {
	k, ok := kindByName[name]
	return k, ok
}

// MaxNeededVersion is the highest NeededVersion of any kind.
var MaxNeededVersion = func() (need int) {
	for _, k := range Kinds {
		need = max(need, k.NeededVersion)
	}
	return need
}()

var kindByName = func() map[string]Kind {
	m := make(map[string]Kind, len(Kinds))
	for _, k := range Kinds {
		m[k.Name] = k
	}
	return m
}()

// settable holds the properties that the body of each kind with EffectSets may hold.
var settable = func() map[string]map[string]bool {
	m := map[string]map[string]bool{}
	for _, k := range Kinds {
		if k.Effect != EffectSets {
			continue
		}
		m[k.Name] = map[string]bool{}
		for _, field := range reflect.VisibleFields(reflect.TypeOf(k.newBody()).Elem()) {
			name, _, _ := strings.Cut(field.Tag.Get("json"), ",")
			m[k.Name][name] = true
		}
	}
	return m
}()

// MaySet says whether a fact of this kind may set that property of its subject. A fact
// that changes something sets only what its body knows: the rest would be unchecked, such
// as another number of a bag.
func (k Kind) MaySet(property string) bool {
	return k.Effect != EffectSets || settable[k.Name][property]
}

// KindWords returns the history's words for a kind: for one that this program does not know,
// that a newer version wrote it.
func KindWords(kind string) string {
	if k, known := FindKind(kind); known {
		return k.Words
	}
	return "an entry of a newer version"
}

// IsIn says whether a kind of scope, such as "batch", may hold facts of this kind.
func (k Kind) IsIn(sort string) bool { return strings.Contains(" "+k.Scopes+" ", " "+sort+" ") }

// check says whether d can be written as this kind.
func (k Kind) check(d Draft) error {
	if err := d.Scope.Check(); err != nil {
		return err
	}
	sort, _ := d.Scope.Split()
	if !k.IsIn(sort) {
		return fault.New(fault.Input, "%s cannot be written in scope %s", k.Name, sort).
			WithHint("its scope is %s", strings.ReplaceAll(k.Scopes, " ", " or "))
	}
	if d.Subject != "" {
		if err := d.Subject.Check("subject of " + k.Name); err != nil {
			return err
		}
	}
	b := k.newBody()
	if err := json.Unmarshal(d.Body, b); err != nil {
		return fault.New(fault.Input, "the body of %s does not fit its kind: %v", k.Name, err)
	}
	return b.check()
}

// CheckBody returns a fault where f is of a kind that this program knows and does not hold
// what that kind needs. Author.MakeFacts writes no such fact; what came from elsewhere may
// be anything.
func (f Fact) CheckBody() error {
	k, known := FindKind(f.Kind)
	if !known {
		return nil
	}
	return k.check(Draft{Scope: f.Scope, Subject: f.Subject, Body: f.Body})
}
