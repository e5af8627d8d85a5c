package dayfile

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/govalues/decimal"
	"github.com/govalues/money"

	"tankful/calc/date"
	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/quote"
	"tankful/calc/unit"
	"tankful/geo/intake"
	"tankful/plan/offer"
)

// PricesVersion is the layout of price books: the value of the key "tankful_prices".
const PricesVersion = "1"

// rateDigits is how many digits a price per area or per unit may have behind the point; amounts of money have the currency's.
const rateDigits = 4

// ParsePrices reads a price book. files gives the bytes of the day file that it names as its outfit, and of what that names, by the paths written there. The
// Book is never nil; with an error in the list it must not be used.
func ParsePrices(name string, data []byte, files func(path string) ([]byte, error), opt intake.Options) (*offer.Book, problem.List) {
	r := newReader(name, files, opt)
	p := priceReader{reader: r, book: &offer.Book{Where: name}}
	if root, ok := r.syntax(data); ok {
		p.read(root)
	}
	r.problems.Sort()
	return p.book, r.problems
}

type priceReader struct {
	*reader
	book *offer.Book
	// names are those of the book's prices; mixes and forms what the outfit has.
	names []string
	mixes []string
	forms map[string]label.Form
}

func (r *priceReader) read(root cursor) {
	o, ok := root.object("tankful_prices! invented firm! currency! units! outfit billable! prices! programs! products costs discounts tax valid! terms cautions")
	if !ok {
		return
	}
	if at := o.at("tankful_prices"); at.node != nil {
		if t := at.text(); t != "" && t != PricesVersion {
			at.fail("file-version", "Write tankful_prices: 1, the layout that this program reads.", "the file's layout is %q; layout %s is known", t, PricesVersion)
			return
		}
	}
	b := r.book
	b.Invented = o.at("invented").boolean()
	b.Units = oneOf(o.at("units"), unit.US, unit.Metric)
	r.currency(o.at("currency"))
	r.firm(o.at("firm"))
	r.outfit(o.at("outfit"))
	r.billing(o.at("billable"))
	b.Prices = list(o.at("prices"), r.price)
	b.Programs = list(o.at("programs"), r.program)
	b.Products = list(o.at("products"), r.product)
	r.costs(o.at("costs"))
	b.Discounts = list(o.at("discounts"), r.discount)
	r.tax(o.at("tax"))
	r.valid(o.at("valid"))
	b.Terms = list(o.at("terms"), cursor.text)
	b.Cautions = list(o.at("cautions"), cursor.text)
	r.material(o.at("programs"))
}

func (r *priceReader) currency(c cursor) {
	r.book.Places = 2 // the rest is read on this guess when the currency is not known
	t := c.text()
	if t == "" {
		return
	}
	curr, err := money.ParseCurr(t)
	if err != nil || len(t) != 3 || curr.Code() == "XXX" || curr.Code() == "XTS" {
		c.fail("unknown-currency", "Write the three letters of a currency, such as USD, EUR or CAD.", "%q is no currency (ISO 4217)", clip(t))
		return
	}
	r.book.Code, r.book.Places = curr.Code(), curr.Scale()
}

func (r *priceReader) firm(c cursor) {
	o, _ := c.object("name! address telephone licence certificate")
	r.book.Firm = offer.Firm{Name: o.at("name").text(), Address: o.at("address").text(), Telephone: o.at("telephone").text(), Licence: o.at("licence").text(), Certificate: o.at("certificate").text()}
}

// outfit reads what days of the outfit have in common from its day file; the file's stops are not read.
func (r *priceReader) outfit(c cursor) {
	r.forms = map[string]label.Form{}
	name := c.text()
	if name == "" {
		return
	}
	data, err := r.outlines(name)
	if err != nil {
		c.fail("outfit-unreadable", "Check the name and the folder of the day file.", "the outfit %s cannot be read: %v", clip(name), err)
		return
	}
	d := newReader(name, r.outlines, r.opt)
	if root, ok := d.syntax(data); ok {
		if o, ok := root.object("tankful! date stops off " + sharedKeys); ok && d.version(o.at("tankful")) {
			d.day.Date = o.at("date").date()
			d.readShared(o)
			r.book.SetUp = quantity(o.at("set_up"), unit.ParseTime, "0 min", "4 h")
		}
	}
	r.problems = append(r.problems, d.problems...)
	if d.problems.HasErrors() {
		return
	}
	for _, p := range d.day.Products {
		r.forms[p.Name] = p.Form
	}
	for _, m := range d.day.Mixes {
		r.mixes = append(r.mixes, m.Name)
	}
	d.day.Units = r.book.Units
	r.book.Day = d.day
}

func (r *priceReader) billing(c cursor) {
	o, ok := c.object("step rule!")
	b := quote.Billing{Rule: oneOf(o.at("rule"), quote.Nearest, quote.Up, quote.Exact), Step: quantity(o.at("step"), unit.ParseArea, "1 sq ft", "10 acres")}
	switch {
	case !ok || b.Rule == "":
	case b.Rule == quote.Exact && o.has("step"):
		o.at("step").fail("billing-unclear", "Keep step, or rule: none.", "the area is billed as measured, and in steps")
	case b.Rule != quote.Exact && !o.has("step"):
		o.at("step").fail("missing-key", "Add step, such as 100 sq ft, or write rule: none.", "step is missing")
	}
	if s := b.Step; s > 0 && r.book.Units != "" && r.book.Units.RoundArea(s) != s {
		if diff := float64(r.book.Units.RoundArea(s)/s) - 1; diff > 1e-9 || diff < -1e-9 {
			o.at("step").fail("billing-unclear", "Write a whole number of the book's units.", "a step of %s is not whole as it is printed", clip(o.at("step").text()))
		}
	}
	r.book.Billing = b
}

// amount reads an amount of money.
func (r *priceReader) amount(c cursor) quote.Money {
	t := c.text()
	if t == "" {
		return decimal.Zero
	}
	m, err := quote.ParseMoney(t, r.book.Places)
	if err != nil {
		c.fail("bad-money", "Write digits and a point, without a currency, such as 45.00.", "%s: %v", c.key(), err)
	}
	return m
}

// per reads "12.00 per 1000 sq ft": money and what it is for.
func (r *priceReader) per(c cursor, example string) (m quote.Money, of string, ok bool) {
	t := c.text()
	if t == "" {
		return decimal.Zero, "", false
	}
	number, of, found := strings.Cut(t, " per ")
	m, err := quote.ParseMoney(strings.TrimSpace(number), rateDigits)
	if !found || err != nil {
		what := "it does not say per what"
		if err != nil {
			what = err.Error()
		}
		c.fail("bad-money", "Write it like "+strconv.Quote(example)+".", "%s is %q: %s", c.key(), clip(t), what)
		return decimal.Zero, "", false
	}
	if of = strings.TrimSpace(of); of != "" && (of[0] < '0' || of[0] > '9') {
		of = "1 " + of
	}
	return m, of, true
}

func (r *priceReader) share(c cursor, most int) quote.Money {
	t := c.text()
	if t == "" {
		return decimal.Zero
	}
	m, err := quote.ParseShare(t, most)
	if err != nil {
		c.fail("bad-share", "Write a per cent, such as 5 %.", "%s: %v", c.key(), err)
	}
	return m
}

func (r *priceReader) price(c cursor) quote.Price {
	o, ok := c.object("name! tiers bands set_up minimum may_fall")
	p := quote.Price{Name: r.unique(o.at("name"), &r.names), SetUp: r.amount(o.at("set_up")), Minimum: r.amount(o.at("minimum")), MayFall: o.at("may_fall").boolean(), Where: c.where()}
	p.Tiers = r.tiers(o.at("tiers"), false)
	p.Bands = r.tiers(o.at("bands"), true)
	switch {
	case !ok:
	case o.has("tiers") && o.has("bands"):
		o.at("bands").fail("price-unclear", "Keep tiers, where each price holds for the ground within it, or bands, where one holds for all.", "the price has both tiers and bands")
	case !o.has("tiers") && !o.has("bands"):
		o.at("tiers").fail("missing-key", "Add tiers or bands.", "the price has neither tiers nor bands")
	}
	if o.has("may_fall") && !o.has("bands") {
		o.at("may_fall").fail("price-unclear", "Remove it.", "the price of tiers never falls")
	}
	return p
}

// unique reads a name that must be there once in its list.
func (r *priceReader) unique(c cursor, names *[]string) string {
	t := c.text()
	if t != "" && slices.Contains(*names, t) {
		c.fail("duplicate-name", "Give it another name.", "the name %q is there twice", clip(t))
	}
	*names = append(*names, t)
	return t
}

// tiers reads tiers or bands in rising order, the last without an upper end.
func (r *priceReader) tiers(c cursor, flat bool) []quote.Tier {
	last, open := unit.Area(0), false
	out := list(c, func(c cursor) quote.Tier {
		o, _ := c.object("up_to price!")
		t := quote.Tier{UpTo: quantity(o.at("up_to"), unit.ParseArea, "1 sq ft", "10000 acres")}
		switch {
		case open:
			c.fail("tiers-order", "Put the one without up_to last.", "it comes after the one for the rest")
		case o.has("up_to") && t.UpTo > 0 && t.UpTo <= last:
			o.at("up_to").fail("tiers-order", "Write them in rising order.", "up_to is not over the one before")
		}
		last, open = max(last, t.UpTo), open || !o.has("up_to")
		r.tierPrice(o.at("price"), &t, flat)
		return t
	})
	if len(out) > 0 && !open {
		c.fail("tiers-end", "Add a last one without up_to.", "beyond %s there is no price", r.area(last))
	}
	return out
}

func (r *priceReader) area(a unit.Area) string {
	if r.book.Units == "" {
		return unit.US.Area(a)
	}
	return r.book.Units.Area(a)
}

func (r *priceReader) tierPrice(c cursor, t *quote.Tier, flat bool) {
	if text := c.text(); flat && text != "" && !strings.Contains(text, " per ") {
		t.Flat, t.IsFlat = r.amount(c), true
		return
	}
	m, of, ok := r.per(c, "12.00 per 1000 sq ft")
	if !ok {
		return
	}
	a, err := unit.ParseArea(of)
	switch {
	case err != nil:
		c.badQuantity(of, err)
	case !(a > 0) || r.area(a) == r.area(0):
		c.fail("not-positive", "Write an area over zero.", "the price is per %s", clip(of))
	default:
		t.Each, t.Per = m, a
	}
}

func (r *priceReader) program(c cursor) quote.Program {
	o, _ := c.object("name! visits!")
	var programs []string
	for _, p := range r.book.Programs {
		programs = append(programs, p.Name)
	}
	p := quote.Program{Name: r.unique(o.at("name"), &programs), Where: c.where()}
	var names []string
	p.Visits = list(o.at("visits"), func(c cursor) quote.Visit { return r.visit(c, &names) })
	r.book.Programs = append(r.book.Programs, p) // for the names of the next one; list sets them all
	return p
}

func (r *priceReader) visit(c cursor, names *[]string) quote.Visit {
	o, _ := c.object("name! when! from until price! mixes material for")
	v := quote.Visit{Name: r.unique(o.at("name"), names), When: o.at("when").text(), From: o.at("from").date(), Until: o.at("until").date(), Material: o.at("material").boolean(),
		For: o.at("for").text(), Where: c.where()}
	if v.From != "" && v.Until != "" && v.Until < v.From {
		o.at("until").fail("ends-before-start", "Write the later date as until.", "the visit is from %s until %s", v.From, v.Until)
	}
	if v.Price = o.at("price").text(); v.Price != "" && !slices.Contains(r.names, v.Price) {
		o.at("price").fail("unknown-name", suggest(v.Price, r.names), "there is no price %q", clip(v.Price))
	}
	v.Mixes = list(o.at("mixes"), func(c cursor) string {
		t := c.text()
		if t != "" && r.book.Day != nil && !slices.Contains(r.mixes, t) {
			c.fail("unknown-name", suggest(t, r.mixes), "the outfit has no mix %q", clip(t))
		}
		return t
	})
	return v
}

// product reads what a product of the outfit costs.
func (r *priceReader) product(c cursor) offer.Product {
	o, ok := c.object("name! cost! mark_up")
	var names []string
	for _, p := range r.book.Products {
		names = append(names, p.Name)
	}
	p := offer.Product{Name: r.unique(o.at("name"), &names), MarkUp: r.share(o.at("mark_up"), 1000), Where: c.where()}
	r.book.Products = append(r.book.Products, p)
	form, known := r.forms[p.Name]
	switch {
	case !ok || p.Name == "":
		return p
	case r.book.Day == nil:
		o.at("cost").fail("no-outfit", "Name the outfit's day file as outfit.", "what a product costs takes an outfit that has it")
		return p
	case !known:
		var all []string
		for name := range r.forms {
			all = append(all, name)
		}
		slices.Sort(all)
		o.at("name").fail("unknown-name", suggest(p.Name, all), "the outfit has no product %q", clip(p.Name))
		return p
	}
	m, of, ok := r.per(o.at("cost"), "48.00 per 2.5 gal")
	if !ok {
		return p
	}
	a, err := label.ParseAmount(of, form)
	if err != nil {
		o.at("cost").badQuantity(of, err)
		return p
	}
	n, _, err := offer.Printed(a, r.book.Units)
	if err != nil || !n.IsPos() {
		o.at("cost").fail("not-positive", "Write an amount over zero.", "the cost is per %s", clip(of))
		return p
	}
	p.Each, _ = m.Quo(n)
	return p
}

func (r *priceReader) costs(c cursor) {
	o, ok := c.object("labour! distance! drive_share! fixed")
	if !ok {
		return
	}
	k := &offer.Costs{DriveShare: r.share(o.at("drive_share"), 100), Fixed: r.amount(o.at("fixed"))}
	k.Labour = r.perOne(o.at("labour"), "32.00 per h", "1 h")
	far, example := "1 mi", "0.90 per mi"
	if r.book.Units == unit.Metric {
		far, example = "1 km", "0.60 per km"
	}
	k.Distance = r.perOne(o.at("distance"), example, far)
	if r.book.Day == nil {
		c.fail("no-outfit", "Name the outfit's day file as outfit, or remove costs.", "costs take an outfit: its passes, its pace, its yard")
	}
	r.book.Costs = k
}

// perOne reads money per one unit that must be as named.
func (r *priceReader) perOne(c cursor, example, of string) quote.Money {
	m, per, ok := r.per(c, example)
	if ok && per != of {
		c.fail("bad-money", "Write it like "+strconv.Quote(example)+".", "%s is per %s, and per %s is read", c.key(), clip(per), of)
	}
	return m
}

func (r *priceReader) discount(c cursor) quote.Discount {
	o, ok := c.object("name! off! properties")
	var names []string
	for _, d := range r.book.Discounts {
		names = append(names, d.Name)
	}
	d := quote.Discount{Name: r.unique(o.at("name"), &names), Properties: int(o.at("properties").whole(0, 100_000)), Where: c.where()}
	if at := o.at("off"); ok {
		if t := at.text(); strings.HasSuffix(t, "%") {
			d.Share = r.share(at, 100)
		} else {
			d.Amount = r.amount(at)
		}
	}
	if o.has("properties") && d.Properties < 2 {
		o.at("properties").fail("not-positive", "Write two or more, or remove it for a discount that is asked for by name.", "properties is %d", d.Properties)
	}
	r.book.Discounts = append(r.book.Discounts, d)
	return d
}

func (r *priceReader) tax(c cursor) {
	o, ok := c.object("name! rate! on!")
	if !ok {
		return
	}
	r.book.Tax = quote.Tax{Name: o.at("name").text(), Rate: r.share(o.at("rate"), 100), On: oneOf(o.at("on"), quote.OnAll, quote.OnService, quote.OnMaterial)}
}

// valid reads "30 days" or a date.
func (r *priceReader) valid(c cursor) {
	t := c.text()
	if t == "" {
		return
	}
	number, isDays := strings.CutSuffix(t, " days")
	n, err := strconv.Atoi(number)
	if isDays && err == nil && n >= 1 && n <= 730 {
		r.book.ValidDays = n
		return
	}
	if _, err := date.Parse(t); err != nil || isDays {
		c.fail("valid-unclear", `Write it like "30 days" or 2026-05-31.`, "valid is %q, neither 1 to 730 days nor a date", clip(t))
		return
	}
	r.book.ValidUntil = t
}

// material holds visits that charge material to what that takes.
func (r *priceReader) material(c cursor) {
	for _, p := range r.book.Programs {
		for _, v := range p.Visits {
			if v.Material && (r.book.Day == nil || len(v.Mixes) == 0) {
				r.problems.Errorf("no-outfit", v.Where, "Name the outfit's day file as outfit and the visit's mixes, or remove material.", "%s", fmt.Sprintf("the visit %s charges material, and what it takes is not known", clip(v.Name)))
			}
		}
	}
}
