package drawing

import "example.org/kerfwright/planner/fault"

// kinds of entity that are not cut, by what is said about them.
var (
	textTypes = map[string]bool{"TEXT": true, "MTEXT": true, "ATTRIB": true, "ATTDEF": true, "RTEXT": true, "ARCALIGNEDTEXT": true,
		"ACAD_TABLE": true, "SHAPE": true, "TOLERANCE": true}
	dimTypes = map[string]bool{"DIMENSION": true, "ARC_DIMENSION": true, "LARGE_RADIAL_DIMENSION": true, "LEADER": true,
		"MLEADER": true, "MULTILEADER": true}
	solidTypes = map[string]bool{"3DFACE": true, "MESH": true, "3DSOLID": true, "BODY": true, "REGION": true, "SURFACE": true,
		"EXTRUDEDSURFACE": true, "LOFTEDSURFACE": true, "REVOLVEDSURFACE": true, "SWEPTSURFACE": true, "PLANESURFACE": true,
		"NURBSURFACE": true, "HELIX": true}
	pictureTypes = map[string]bool{"IMAGE": true, "WIPEOUT": true, "OLEFRAME": true, "OLE2FRAME": true, "PDFUNDERLAY": true,
		"DWFUNDERLAY": true, "DGNUNDERLAY": true, "LIGHT": true, "SUN": true, "CAMERA": true, "SECTION": true, "GEOPOSITIONMARKER": true}
)

// readOther notes what is left out, with the reason.
func (d *dxf) readOther(typ string) {
	e := d.start(typ)
	var p point3
	for d.next() && d.code != 0 {
		if d.code == 101 { // an embedded object: its groups are not the entity's
			d.skipEntity()
			break
		}
		switch d.code {
		case 10:
			p[0] = d.num()
		case 20:
			p[1] = d.num()
		default:
			d.common(&e)
		}
	}
	d.badNum = false
	if !d.open(&e) {
		return
	}
	say := func(sev fault.Severity, code, what, do string) { d.to.note(sev, code, what, do, p.flat(), true) }
	switch {
	case textTypes[typ]:
		say(fault.Note, "text", "text is not cut", "Turn it into outlines in the CAD if it is to be cut")
	case dimTypes[typ]:
		say(fault.Note, "dimension", "a dimension or leader is not cut", "")
	case typ == "HATCH" || typ == "MPOLYGON":
		say(fault.Note, "hatch", "a hatch is ignored; only edges that are drawn are cut", "")
	case typ == "RAY" || typ == "XLINE":
		say(fault.Note, "endless", "an endless construction line is ignored", "")
	case solidTypes[typ]:
		say(fault.Error, "solid", "a face, mesh, surface or solid cannot be cut: it has no flat edge of its own",
			"Export a flat view of the part as lines and arcs, or set its layer to ignore")
	case pictureTypes[typ]:
		say(fault.Note, "picture", "a picture or a frame is ignored", "")
	case typ == "ACAD_PROXY_ENTITY":
		say(fault.Warning, "proxy", "an object of an add-on program: only that program can show it", "Explode it in the CAD")
	default:
		say(fault.Warning, "unknown-entity", "a kind of entity that is not known here is left out", "Explode it in the CAD if it is part of the work")
	}
}
