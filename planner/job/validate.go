package job

import (
	"maps"
	"math"
	"slices"
	"sync"

	"example.org/kerfwright/planner/unit"
)

// Field names a number that a person decides, as the job file does:
// table.key. It is the one place where wizard and job file look up what the
// number may be.
type Field string

const (
	StockThickness   Field = "stock.thickness"
	StockWidth       Field = "stock.width"
	StockHeight      Field = "stock.height"
	FixturePocket    Field = "stock.fixture.pockets"
	FixtureCount     Field = "stock.fixture.count"
	FixtureDone      Field = "stock.fixture.done"
	FixtureAllowance Field = "stock.fixture.allowance"

	OutlineAt    Field = "stock.outline"
	OutlineBulge Field = "stock.outline.bulge"
	KeepOutAt    Field = "stock.keep_outs.x"
	KeepOutSize  Field = "stock.keep_outs.width"
	KeepOutAngle Field = "stock.keep_outs.angle"
	StockGrain   Field = "stock.grain"
	StockSheets  Field = "stock.sheets"
	PlateNumber  Field = "plate" // of whatever lies on it

	DrawingScale    Field = "drawings.scale"
	DrawingPage     Field = "drawings.page"
	DrawingPart     Field = "drawings.part"
	DrawingGap      Field = "drawings.gap"
	DrawingQuantity Field = "drawings.quantity"
	DrawingGrain    Field = "drawings.grain"

	LayoutMargin Field = "layout.margin"
	LayoutGap    Field = "layout.gap"
	PlaceDrawing Field = "layout.places.drawing"
	PlaceAt      Field = "layout.places.x"
	PlaceAngle   Field = "layout.places.angle"
	LayoutSeed   Field = "layout.seed"
	LayoutRounds Field = "layout.rounds"
	LayoutShare  Field = "layout.share_from"
	LayoutTrimX  Field = "layout.trim_x"
	LayoutTrimY  Field = "layout.trim_y"

	MarkFeed   Field = "mark.feed"
	MarkAmps   Field = "mark.amps"
	MarkHeight Field = "mark.height"
	MarkDelay  Field = "mark.delay"
	MarkWidth  Field = "mark.width"

	TextAt      Field = "texts.x"
	TextHeight  Field = "texts.height"
	TextAngle   Field = "texts.angle"
	TextDrawing Field = "texts.drawing"

	AlignPoint Field = "alignment.points"
	AlignTurn  Field = "alignment.most"

	ProcessAmps         Field = "process.amps"
	ProcessFeed         Field = "process.feed"
	ProcessKerf         Field = "process.kerf"
	ProcessPierceHeight Field = "process.pierce_height"
	ProcessCutHeight    Field = "process.cut_height"
	ProcessPierceDelay  Field = "process.pierce_delay"
	ProcessVolts        Field = "process.volts"
	ProcessPressure     Field = "process.pressure"
	ProcessGasFlow      Field = "process.gas_flow"
	TaperRatio          Field = "process.taper.ratio"
	TaperAdd            Field = "process.taper.add"

	RulesDrillUnder   Field = "rules.drill_under"
	RulesSlowUnder    Field = "rules.slow_under"
	RulesSlowDiameter Field = "rules.slow_diameter"
	RulesThickFrom    Field = "rules.thick_from"
	RulesSlowFeed     Field = "rules.slow_feed"
	RulesOverburn     Field = "rules.overburn"
	RulesLeadOut      Field = "rules.lead_out"
	RulesMaxLead      Field = "rules.max_lead"
	RulesHoldBelow    Field = "rules.hold_below"
	RulesProbeReuse   Field = "rules.probe_reuse"
	RulesTolerance    Field = "rules.tolerance"
	RulesProofWithin  Field = "rules.proof_within"
	RulesSearchKicks  Field = "rules.search_kicks"
	RulesOrderSeed    Field = "rules.order_seed"
	RulesSmallFirst   Field = "rules.small_first"
	RulesHeatCuts     Field = "rules.heat_cuts"
	RulesHeatDistance Field = "rules.heat_distance"

	RulesPopPulse    Field = "rules.pop_pulse"
	RulesEntryFeed   Field = "rules.entry_feed"
	RulesCornerLoop  Field = "rules.corner_loop"
	RulesCornerFeed  Field = "rules.corner_feed"
	RulesCornerTurn  Field = "rules.corner_turn"
	RulesCornerReach Field = "rules.corner_reach"
	RulesTabUnder    Field = "rules.tab_under"
	RulesTabCount    Field = "rules.tab_count"
	RulesTabWidth    Field = "rules.tab_width"
	RulesSplitSlugs  Field = "rules.split_slugs"
	RulesCutRange    Field = "rules.cut_range"
	RulesHoldLeast   Field = "rules.hold_least"

	HoleFrom     Field = "rules.holes.from"
	HoleUpTo     Field = "rules.holes.up_to"
	HoleUnder    Field = "rules.holes.under"
	HoleFeed     Field = "rules.holes.feed"
	HoleOverburn Field = "rules.holes.overburn"

	MachineTravelX         Field = "machine.travel_x"
	MachineTravelY         Field = "machine.travel_y"
	MachineMaxFeed         Field = "machine.max_feed"
	MachineRapidXY         Field = "machine.rapid_xy"
	MachineRapidZ          Field = "machine.rapid_z"
	MachineAccelXY         Field = "machine.accel_xy"
	MachineAccelZ          Field = "machine.accel_z"
	MachineCornerDeviation Field = "machine.corner_deviation"
	MachineMaxAmps         Field = "machine.max_amps"
	MachineSafeZ           Field = "machine.safe_z"
	MachineTravelZ         Field = "machine.travel_z"
	MachineTopZ            Field = "machine.top_z"
	MachineReach           Field = "machine.reach"
	MachineProbeFeed       Field = "machine.probe_feed"
	MachineProbeSearch     Field = "machine.probe_search"
	MachineSensorOffset    Field = "machine.sensor_offset"
	ProgramDecimals        Field = "machine.program.decimals"
	ProgramMaxLines        Field = "machine.program.max_lines"
	ProgramMaxBytes        Field = "machine.program.max_bytes"
	ProgramNameLength      Field = "machine.program.name_length"
	ProgramMinRadius       Field = "machine.program.min_radius"
	ProgramMaxRadius       Field = "machine.program.max_radius"
	ProgramMaxSweep        Field = "machine.program.max_sweep"

	OverrideStart Field = "overrides.start"

	LogSize   Field = "log.looks.size"
	LogBevel  Field = "log.looks.bevel"
	LogPart   Field = "log.looks.part"
	LogArcOn  Field = "log.arc_on"
	LogStarts Field = "log.starts"
	LogLost   Field = "log.lost"

	WithinLength Field = "presets.figures.length"
	WithinFeed   Field = "presets.figures.feed"
	WithinTime   Field = "presets.figures.time"
	WithinVolts  Field = "presets.figures.volts"

	Price             Field = "prices.price" // of whatever it stands beside
	PriceSwap         Field = "prices.swap"
	PriceEfficiency   Field = "prices.efficiency"
	PriceStarts       Field = "prices.starts"
	PriceMinutes      Field = "prices.minutes"
	OverrideCritical  Field = "overrides.critical"
	OverrideTolerance Field = "overrides.tolerance"
	OverrideTabs      Field = "overrides.tabs"
	OverrideFeed      Field = "overrides.feed"
	OverrideDelay     Field = "overrides.delay"
)

// Limits that several fields share.
const (
	maxTable  = 50000.0  // mm; common practice, no source: no plasma table is longer than 50 m
	maxPlasma = 160.0    // mm; common practice, no source: thicker steel is cut by gas
	MaxPlates = 999      // of one job; common practice, no source
	maxAmps   = 800.0    // A; 29 CFR 1910.133(a)(5): the table of filter shades ends there
	maxSpeed  = 200000.0 // mm/min; common practice, no source
)

// ranges holds every field's range. All limits without a source beside them
// are common practice, no source. It is made once and only read.
var ranges = sync.OnceValue(func() map[Field]Range {
	const (
		slip   = "outside it, a slip of the key or of the unit is likely"
		onPage = "nothing lies further from zero than the longest table"
	)
	all := map[Field]Range{
		StockThickness:   {Length, 0.2, maxPlasma, "thinner is foil that the arc blows away, thicker is beyond plasma cutting"},
		StockWidth:       {Length, 1, maxTable, "the plate must have a width, and no table is longer than 50 m"},
		StockHeight:      {Length, 1, maxTable, "the plate must have a height, and no table is longer than 50 m"},
		FixturePocket:    {Length, -maxTable, maxTable, onPage},
		FixtureCount:     {Count, 1, 100000, "one run cuts at least one blank"},
		FixtureDone:      {Count, 0, 100000, "pieces cut in earlier runs"},
		FixtureAllowance: {Length, 0, 100, "a blank that differs by more is another part"},

		OutlineAt:    {Length, -maxTable, maxTable, onPage},
		OutlineBulge: {Pure, -100, 100, "an arc that goes almost full circle is two arcs"},
		KeepOutAt:    {Length, -maxTable, maxTable, onPage},
		KeepOutSize:  {Length, 0.1, maxTable, "smaller keeps nothing out"},
		KeepOutAngle: {Angle, -2 * math.Pi, 2 * math.Pi, "a full turn is enough"},
		StockGrain:   {Angle, -math.Pi, math.Pi, "half a turn either way is every direction"},
		StockSheets:  {Count, 1, MaxPlates, "more plates are another job"},
		PlateNumber:  {Count, 1, MaxPlates, "plates count from 1, and more are another job"},

		DrawingScale:    {Pure, 1e-4, 1e4, "true size over drawn size"},
		DrawingPage:     {Count, 1, 100000, "pages count from 1"},
		DrawingPart:     {Count, 1, 100000, "the parts of a drawing count from 1"},
		DrawingGap:      {Length, 1e-6, 10, "a wider gap is a missing line"},
		DrawingQuantity: {Count, 1, 100000, "at least one copy"},
		DrawingGrain:    {Angle, -math.Pi, math.Pi, "half a turn either way is every direction"},

		LayoutMargin: {Length, 0.01, maxTable, "leave the key out to take the rule's own"},
		LayoutGap:    {Length, 0.01, maxTable, "leave the key out to take the rule's own"},
		PlaceDrawing: {Count, 1, 100000, "drawings count from 1"},
		PlaceAt:      {Length, -maxTable, maxTable, onPage},
		PlaceAngle:   {Angle, -2 * math.Pi, 2 * math.Pi, "a full turn is enough"},
		LayoutSeed:   {Count, -1 << 53, 1 << 53, "larger whole numbers are not exact everywhere"},
		LayoutRounds: {Count, 1, 1e9, "the search for a good layout needs a budget"},
		LayoutTrimX:  {Length, -maxTable, maxTable, onPage},
		LayoutTrimY:  {Length, -maxTable, maxTable, onPage},
		LayoutShare:  {Length, 5, maxTable, "on a shorter edge the ends of the cut are all there is"},

		MarkFeed:   {Feed, 1, maxSpeed, slip},
		MarkAmps:   {Amps, 1, maxAmps, "29 CFR 1910.133 gives filter shades up to 800 A"},
		MarkHeight: {Length, 0.1, 50, "lower the nozzle touches the plate, higher the arc does not reach it"},
		MarkDelay:  {Seconds, 0, 5, "longer it pierces"},
		MarkWidth:  {Length, 0.05, 10, "wider is no line"},

		TextAt:      {Length, -maxTable, maxTable, onPage},
		TextHeight:  {Length, 2, 1000, "smaller letters run into one spot"},
		TextAngle:   {Angle, -2 * math.Pi, 2 * math.Pi, "a full turn is enough"},
		TextDrawing: {Count, 0, 100000, "drawings count from 1; 0 is the stock itself"},

		AlignPoint: {Length, -maxTable, maxTable, onPage},
		AlignTurn:  {Angle, 0.01 * math.Pi / 180, math.Pi, "less is asked for every plate, more than half a turn is no limit"},

		ProcessAmps:         {Amps, 1, maxAmps, "29 CFR 1910.133 gives filter shades up to 800 A"},
		ProcessFeed:         {Feed, 1, maxSpeed, slip},
		ProcessKerf:         {Length, 0.05, 25, slip},
		ProcessPierceHeight: {Length, 0.1, 50, "lower the nozzle touches the plate, higher the arc does not reach it"},
		ProcessCutHeight:    {Length, 0.1, 50, "lower the nozzle touches the plate, higher the arc does not reach it"},
		ProcessPierceDelay:  {Seconds, 0, 60, "the arc cannot wait less than no time, and a minute burns the plate away"},
		ProcessVolts:        {Volts, 10, 400, "a cutting arc stands between the two"},
		ProcessPressure:     {Bar, 0, 50, slip},
		ProcessGasFlow:      {Litres, 0, 10000, slip},
		TaperRatio:          {Pure, 0.01, 1000, "diameter over thickness"},
		TaperAdd:            {Length, -10, 10, slip},

		RulesDrillUnder:   {Pure, 0.01, 100, "times the thickness"},
		RulesSlowUnder:    {Pure, 0.01, 100, "times the thickness"},
		RulesSlowDiameter: {Length, 0.01, 1000, slip},
		RulesThickFrom:    {Length, 0.01, maxPlasma, "thicker is beyond plasma cutting"},
		RulesSlowFeed:     {Pure, 0.05, 1, "part of the feed; a slow hole is not faster than the feed"},
		RulesOverburn:     {Length, 0.01, 200, slip},
		RulesLeadOut:      {Length, 0, 200, slip},
		RulesMaxLead:      {Length, 0.1, 1000, slip},
		RulesHoldBelow:    {Pure, 0.01, 1, "part of the programmed feed"},
		RulesProbeReuse:   {Length, 0, maxTable, onPage},
		RulesTolerance:    {Length, 1e-4, 1, "finer is lost in the program's decimals, coarser shows on the part"},
		RulesProofWithin:  {Length, 1e-3, 1, "finer is lost in the program's decimals, coarser proves nothing"},
		RulesSearchKicks:  {Count, 1, 1e9, "the search for a good order needs a budget"},
		RulesOrderSeed:    {Count, -1 << 53, 1 << 53, "larger whole numbers are not exact everywhere"},
		RulesSmallFirst:   {Length, 0, maxTable, onPage},
		RulesHeatCuts:     {Count, 0, 1000, "more cuts than that have cooled"},
		RulesHeatDistance: {Length, 0, maxTable, onPage},

		RulesPopPulse:    {Seconds, 0.01, 5, "a pulse marks; longer it pierces"},
		RulesEntryFeed:   {Pure, 0.05, 1, "part of the feed"},
		RulesCornerLoop:  {Length, 0.5, 50, "smaller the torch stops in it, larger it meets the next part"},
		RulesCornerFeed:  {Pure, 0.05, 1, "part of the feed"},
		RulesCornerTurn:  {Angle, math.Pi / 180, math.Pi * 179 / 180, "a corner turns more than nothing and less than back"},
		RulesCornerReach: {Length, 0.1, 100, slip},
		RulesTabUnder:    {Length, 1, 2000, slip},
		RulesTabCount:    {Count, 1, 20, "at least one keeps the part in"},
		RulesTabWidth:    {Pure, 0.05, 5, "times the thickness"},
		RulesSplitSlugs:  {Length, 5, 2000, "narrower slugs fall by themselves"},
		RulesCutRange:    {Count, 1, 5, "ISO 9013 has ranges 1 to 5"},
		RulesHoldLeast:   {Length, 0.1, 100, slip},

		HoleFrom:     {Length, 0.01, maxPlasma, "thicker is beyond plasma cutting"},
		HoleUpTo:     {Pure, 0.01, 1000, "times the thickness"},
		HoleUnder:    {Length, 0.01, maxTable, "nothing is wider than the longest table"},
		HoleFeed:     {Pure, 0.05, 1.5, "part of the feed"},
		HoleOverburn: {Length, 0, 200, slip},

		MachineTravelX:         {Length, 1, maxTable, "no table is longer than 50 m"},
		MachineTravelY:         {Length, 1, maxTable, "no table is longer than 50 m"},
		MachineMaxFeed:         {Feed, 1, maxSpeed, slip},
		MachineRapidXY:         {Feed, 1, maxSpeed, slip},
		MachineRapidZ:          {Feed, 1, maxSpeed, slip},
		MachineAccelXY:         {Accel, 1, 100000, slip},
		MachineAccelZ:          {Accel, 1, 100000, slip},
		MachineCornerDeviation: {Length, 1e-6, 10, slip},
		MachineMaxAmps:         {Amps, 1, maxAmps, "29 CFR 1910.133 gives filter shades up to 800 A"},
		MachineSafeZ:           {Length, 0.5, 1000, "the torch must clear the plate"},
		MachineTravelZ:         {Length, 0.5, 1000, "the torch must clear the plate"},
		MachineTopZ:            {Length, -10000, 10000, slip},
		MachineReach:           {Length, 1, 2000, "the first touch-off must be able to reach the plate"},
		MachineProbeFeed:       {Feed, 1, maxSpeed, slip},
		MachineProbeSearch:     {Length, 0.1, 1000, "a touch-off must be able to reach the plate, and must stop if there is none"},
		MachineSensorOffset:    {Length, 0, 50, "the travel between contact and the sensor's trip; more is a broken sensor"},
		ProgramDecimals:        {Count, 1, 9, "fewer than one lose the part, more than nine are noise"},
		ProgramMaxLines:        {Count, 100, 1e9, "one cut with its start and end must fit into a program"},
		ProgramMaxBytes:        {Count, 4096, 1 << 40, "one cut with its start and end must fit into a program"},
		ProgramNameLength:      {Count, 4, 255, "shorter names cannot be told apart"},
		ProgramMinRadius:       {Length, 0.001, 100, "arcs that are wider are what parts are made of"},
		ProgramMaxRadius:       {Length, 1, 1e6, "arcs that are narrower are what parts are made of"},
		ProgramMaxSweep:        {Angle, math.Pi / 36, 2 * math.Pi, "a full turn is enough, and pieces under 5 degrees are lines"},

		LogSize:   {Length, 0.1, maxTable, "nothing is larger than the longest table"},
		LogBevel:  {Angle, -math.Pi / 4, math.Pi / 4, "an edge that leans further was not cut by this torch"},
		LogPart:   {Pure, 0.05, 3, "part of the process's feed"},
		LogArcOn:  {Seconds, 0, 1e8, "longer than any set of consumables lasts"},
		LogStarts: {Count, 0, 1e7, "more than any set of consumables lasts"},
		LogLost:   {Count, 0, 100000, "arcs that went out before the cut was done"},

		WithinLength: {Length, 0, 25, "more than the figure itself says nothing about it"},
		WithinFeed:   {Feed, 0, maxSpeed, "more than the figure itself says nothing about it"},
		WithinTime:   {Seconds, 0, 60, "more than the figure itself says nothing about it"},
		WithinVolts:  {Volts, 0, 400, "more than the figure itself says nothing about it"},

		Price:           {Pure, 0, 1e9, "leave the key out if the price is not known; 0 means that it costs nothing"},
		PriceSwap:       {Seconds, 0, 86400, "a pause of more than a day is another job"},
		PriceEfficiency: {Pure, 0.01, 1, "power in the arc over power from the mains"},
		PriceStarts:     {Count, 0, 1e9, "starts of a set of consumables"},
		PriceMinutes:    {Pure, 0, 1e6, "minutes of arc of a set of consumables"},

		OverrideStart:     {Length, -1e6, 1e6, "package geom is exact enough up to 1 km"},
		OverrideCritical:  {Length, -1e6, 1e6, "package geom is exact enough up to 1 km"},
		OverrideTolerance: {Length, 0.001, 50, slip},
		OverrideTabs:      {Count, 0, 20, "0 is none"},
		OverrideFeed:      {Pure, 0.05, 3, "part of the job's feed; further from it than that is another process"},
		OverrideDelay:     {Seconds, 0, 60, "the arc cannot wait less than no time, and a minute burns the plate away"},
	}
	maps.Copy(all, shapeRanges())
	maps.Copy(all, editRanges())
	return all
})

// Fields lists every field, sorted by name.
func Fields() []Field {
	var all []Field
	for f := range ranges() {
		all = append(all, f)
	}
	slices.Sort(all)
	return all
}

// Range returns what the field may hold. A Field that is none of the
// constants is a broken promise of ours.
func (f Field) Range() Range {
	r, ok := ranges()[f]
	if !ok {
		panic("job: internal: no range for field " + string(f))
	}
	return r
}

// Check is Range().Check: nil, or why v, in the planner's own unit, may not
// stand in the field, with the range as a person sees it in the given system.
func (f Field) Check(v float64, in unit.System) error { return f.Range().Check(v, in) }
