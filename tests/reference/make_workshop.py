"""Sizes of paper from their standards, holes in files for a cutter as another program reads them, and what the trade says of line.
Run, after `sightdrift sheets scenarios/NAME.toml --out FOLDER/NAME` for every scenario: python3 make_workshop.py FOLDER

Places of holes: right and up from the axis as seen from the peephole, and radius, mm, hole by hole in the file's order."""
import os
import sys
import ezdxf
from ezdxf import units
from toml_rows import Rows

EZ = f"ezdxf {ezdxf.__version__}"
rows = Rows("make_workshop.py", "sheets for the workshop")
rows.add("A4", "paper_size", "published", "ISO 216, A4: 210 mm x 297 mm, from memory", "mm", 1e-9, "whole millimetres by definition",
         {"paper": "a4"}, [210.0, 297.0])
rows.add("US Letter", "paper_size", "published", "ANSI/ASME Y14.1, size A: 8.5 in x 11 in; 1 in = 25.4 mm exactly, from memory", "mm", 1e-9,
         "exact by definition", {"paper": "letter"}, [8.5 * 25.4, 11 * 25.4])
for name in ("carton-kite", "desk-boat", "gallery-bridge", "slack-windmill"):
    for plate in ("front", "rear"):
        drawing = ezdxf.readfile(os.path.join(sys.argv[1], name, f"{plate}-pattern.dxf"))
        auditor = drawing.audit()
        assert not auditor.errors, auditor.errors
        assert drawing.units == units.MM, drawing.units
        holes = list(drawing.modelspace().query("CIRCLE[layer=='HOLES']"))
        numbers = [n for hole in holes for n in (hole.dxf.center.x, hole.dxf.center.y, hole.dxf.radius)]
        rows.add(f"{name}, {plate} plate", "holes_for_a_cutter", "other_program", EZ, "mm", 1e-9,
                 "the file has 12 decimals", {"scenario": name, "plate": plate}, numbers,
                 call="readfile(…).modelspace().query(\"CIRCLE[layer=='HOLES']\"), centre and radius; units MM, audit without errors")
rows.add("line for a carton a foot long, ten runs", "line_needed", "practice",
         "common practice, no source: about 15 ft with ways between holes, knots and anchors", "ft", 0.5,
         "said to the foot", {"runs": 10, "circle_mm": 60.0, "plates_mm": [76.2, 381.0]}, 15.0)
rows.write("workshop.toml")
