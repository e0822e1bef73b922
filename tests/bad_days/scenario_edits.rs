//! Mistakes made in a shipped scenario: what is replaced, by what, and what must be told of it.

/// Edits to the sailing boat, each thought of by hand.
pub const EDITS: &[(&str, &str, &str)] = &[
    // the file itself
    ("[figure]", "[figure", "figure"),
    ("[figure]", "[[figure]]", "must be a table"),
    ("[figure]", "[figure.]", "figure."),
    ("[figure]", "[Figure]", "did you mean `figure`?"),
    ("[run]", "[run]\n[run]", "duplicate key"),
    (
        "[peephole]",
        "peephole = \"9 mm\"\n[hole]",
        "unknown key `peephole` in [cabinet]",
    ),
    (
        "[peephole]",
        "[cabinet.peephole]",
        "unknown key `peephole` in [cabinet]",
    ),
    (
        "work = \"template-drilled\"",
        "work = 'template-drilled",
        "literal string",
    ),
    (
        "work = \"template-drilled\"",
        "work = “template-drilled”",
        "straight quotes",
    ),
    (
        "work = \"template-drilled\"",
        "work: \"template-drilled\"",
        "work",
    ),
    (
        "work = \"template-drilled\"",
        "work = machine-cut",
        "must be quoted",
    ),
    (
        "work = \"template-drilled\"",
        "work = \"Template-Drilled\"",
        "did you mean `template-drilled`?",
    ),
    (
        "work = \"template-drilled\"",
        "work = \"\"",
        "allowed here: hand-pierced",
    ),
    (
        "work = \"template-drilled\"",
        "work = [\"template-drilled\"]",
        "must be a text in quotes",
    ),
    (
        "work = \"template-drilled\"",
        "work = \"template-drilled\\x\"",
        "unicode hexadecimal value",
    ),
    (
        "work = \"template-drilled\"",
        "work = \"template\\uD800\"",
        "work",
    ),
    (
        "title = \"Sailing boat on a desk\"",
        "title = \"   \"",
        "must have 1 to 120 characters",
    ),
    (
        "title = \"Sailing boat on a desk\"",
        "title = \"boat\\u0000boat\"",
        "no control characters",
    ),
    (
        "title = \"Sailing boat on a desk\"",
        "title = \"boat\\u0085boat\"",
        "no control characters",
    ),
    (
        "title = \"Sailing boat on a desk\"",
        "title = \"tab\\there\"",
        "no control characters",
    ),
    (
        "title = \"Sailing boat on a desk\"",
        "title = 2026-07-01",
        "must be a text in quotes",
    ),
    (
        "title = \"Sailing boat on a desk\"",
        "title = { de = \"Boot\" }",
        "must be a text in quotes",
    ),
    (
        "title = \"Sailing boat on a desk\"",
        "title = \"\u{1}\"",
        "title",
    ),
    (
        "title = \"Sailing boat on a desk\"",
        "titel = \"Boat\"",
        "did you mean `title`?",
    ),
    (
        "title = \"Sailing boat on a desk\"",
        "title = \"exe.gnp\\u202Etaob\"",
        "turn the direction of text",
    ),
    (
        "note = \"Ten lines, eleven rods, drilled through a template.\"",
        "note = \"\"",
        "must have 1 to 2000 characters",
    ),
    (
        "note = \"Ten lines, eleven rods, drilled through a template.\"",
        "note = \"bell\\u0007\"",
        "no control characters",
    ),
    (
        "note = \"Ten lines, eleven rods, drilled through a template.\"",
        "note = \"a\\u2067b\"",
        "turn the direction of text",
    ),
    (
        "note = \"Ten lines, eleven rods, drilled through a template.\"",
        "note = 1",
        "must be a text in quotes",
    ),
    // the figure
    (
        "picture_plane = \"400 mm\"",
        "picture_plane = \"\"",
        "does not start with a number",
    ),
    (
        "picture_plane = \"400 mm\"",
        "picture_plane = \"mm\"",
        "does not start with a number",
    ),
    (
        "picture_plane = \"400 mm\"",
        "picture_plane = \"400\"",
        "a text without a unit",
    ),
    (
        "picture_plane = \"400 mm\"",
        "picture_plane = \"400,5 mm\"",
        "the decimal mark is a point",
    ),
    (
        "picture_plane = \"400 mm\"",
        "picture_plane = \"4 00 mm\"",
        "unknown unit",
    ),
    (
        "picture_plane = \"400 mm\"",
        "picture_plane = \"400 MM\"",
        "unknown unit `MM`",
    ),
    (
        "picture_plane = \"400 mm\"",
        "picture_plane = \"400 mm mm\"",
        "unknown unit `mm mm`",
    ),
    (
        "picture_plane = \"400 mm\"",
        "picture_plane = \"400 mm2\"",
        "unknown unit `mm2`",
    ),
    (
        "picture_plane = \"400 mm\"",
        "picture_plane = \"0x190 mm\"",
        "unknown unit",
    ),
    (
        "picture_plane = \"400 mm\"",
        "picture_plane = \"４００ mm\"",
        "does not start with a number",
    ),
    (
        "picture_plane = \"400 mm\"",
        "picture_plane = \"−400 mm\"",
        "does not start with a number",
    ),
    (
        "picture_plane = \"400 mm\"",
        "picture_plane = \"-0 mm\"",
        "must be above 0",
    ),
    (
        "picture_plane = \"400 mm\"",
        "picture_plane = \"1e10 mm\"",
        "within ± 1e9 mm",
    ),
    (
        "picture_plane = \"400 mm\"",
        "picture_plane = \"1e-300 mm\"",
        "off the axis, must be under 45°",
    ),
    (
        "picture_plane = \"400 mm\"",
        "picture_plane = \"1e-320 m\"",
        "off the axis",
    ),
    (
        "picture_plane = \"400 mm\"",
        "picture_plane = \"..5 mm\"",
        "does not start with a number",
    ),
    (
        "picture_plane = \"400 mm\"",
        "picture_plane = \"1e mm\"",
        "unknown unit",
    ),
    (
        "picture_plane = \"400 mm\"",
        "picture_plane = \"+-3 mm\"",
        "does not start with a number",
    ),
    (
        "picture_plane = \"400 mm\"",
        "picture_plane = \"3 to 4 mm\"",
        "unknown unit",
    ),
    (
        "picture_plane = \"400 mm\"",
        "picture_plane = true",
        "must be a length",
    ),
    (
        "picture_plane = \"400 mm\"",
        "picture_plane = {}",
        "must be a length",
    ),
    (
        "picture_plane = \"400 mm\"",
        "picture_plane = 07:32:00",
        "must be a length",
    ),
    (
        "picture_plane = \"400 mm\"",
        "picture_plane = 0400",
        "leading zero",
    ),
    (
        "picture_plane = \"400 mm\"",
        "picture_plane = 4e",
        "picture_plane",
    ),
    (
        "picture_plane = \"400 mm\"",
        "picture_plane.mm = 400",
        "must be a length",
    ),
    ("picture_plane = \"400 mm\"", "", "has no `picture_plane`"),
    (
        "x_points = \"right\"",
        "x_points = \"Right\"",
        "did you mean `right`?",
    ),
    (
        "x_points = \"right\"",
        "x_points = 1",
        "must be a text in quotes",
    ),
    (
        "{ name = \"bow\",       x = \"78 mm\",  y = \"-30 mm\" }",
        "\"bow\"",
        "must be a table { name, x, y }",
    ),
    (
        "{ name = \"bow\",       x = \"78 mm\",  y = \"-30 mm\" }",
        "{}",
        "has no `name`",
    ),
    (
        "{ name = \"bow\",       x = \"78 mm\",  y = \"-30 mm\" }",
        "{ name = \"bow\", x = \"78 mm\",  y = \"-30 mm\", z = 3 }",
        "unknown key `z`",
    ),
    (
        "{ name = \"bow\",       x = \"78 mm\",  y = \"-30 mm\" }",
        "{ name = \"bow\", x = \"78 mm\",  x = \"-30 mm\" }",
        "duplicate key",
    ),
    (
        "{ name = \"bow\",       x = \"78 mm\",  y = \"-30 mm\" }",
        "{ name = \"bow\", x = [78, -30] }",
        "must be a length",
    ),
    (
        "{ name = \"bow\",       x = \"78 mm\",  y = \"-30 mm\" }",
        "{ name = \"bow\", x = \"78 mm\",  y = \"-500 mm\" }",
        "off the axis, must be under 45°",
    ),
    (
        "name = \"bow\",   ",
        "name = 7,   ",
        "must be a text in quotes",
    ),
    (
        "name = \"bow\",   ",
        "name = \" \",   ",
        "must have 1 to 60 characters",
    ),
    (
        "name = \"bow\",   ",
        "name = \"line\\nbreak\",   ",
        "no control characters",
    ),
    (
        "name = \"bow\",   ",
        "name = \"\\u009b31mred\",   ",
        "no control characters",
    ),
    (
        "name = \"bow\",   ",
        "name = \"wob\\u202E\",   ",
        "turn the direction of text",
    ),
    (
        "name = \"bow\",   ",
        "name = \"sixty-one letters are one more than a name of a line may have\",   ",
        "must have 1 to 60 characters",
    ),
    (
        "name = \"bow\",   ",
        "name = \"Bow\",   ",
        "did you mean `Bow`?",
    ),
    // the cabinet
    ("front_plate = \"180 mm\"", "", "has no `front_plate`"),
    (
        "front_plate = \"180 mm\"",
        "front_plate = \"560 mm\"",
        "must be farther from the station point",
    ),
    (
        "front_plate = \"180 mm\"",
        "front_plate = \"7 deg\"",
        "measures an angle",
    ),
    (
        "front_plate = \"180 mm\"",
        "front_plate = [\"180 mm\", \"560 mm\"]",
        "must be a length",
    ),
    (
        "front_plate = \"180 mm\"",
        "front_plate = \"180 mm\"\nfront_centre = \"1 mm\"",
        "must be two quantities",
    ),
    (
        "front_plate = \"180 mm\"",
        "front_plate = \"180 mm\"\nfront_centre = [1, 2, 3]",
        "must be two quantities",
    ),
    (
        "front_plate = \"180 mm\"",
        "front_plate = \"180 mm\"\nrear_centre = [\"1 N\", 0]",
        "measures a force",
    ),
    (
        "front_plate = \"180 mm\"",
        "front_plate = \"180 mm\"\ngravity = -9.8",
        "must be from 0 to 100 m/s2",
    ),
    (
        "front_plate = \"180 mm\"",
        "front_plate = \"180 mm\"\ngravity = \"1 g\"",
        "unknown unit `g`",
    ),
    (
        "front_plate = \"180 mm\"",
        "front_plate = \"180 mm\"\ngravity = \"off\"",
        "does not start with a number",
    ),
    (
        "front_plate = \"180 mm\"",
        "front_plate = \"180 mm\"\ngravity_direction = [0, 0]",
        "must point somewhere",
    ),
    (
        "front_plate = \"180 mm\"",
        "front_plate = \"180 mm\"\ngravity_direction = [nan, 1]",
        "must be a finite number",
    ),
    (
        "front_plate = \"180 mm\"",
        "front_plate = \"180 mm\"\ngravity_direction = \"down\"",
        "must be two quantities",
    ),
    (
        "front_plate = \"180 mm\"",
        "front_plate = \"180 mm\"\nthickness = \"4 mm\"",
        "unknown key `thickness` in [cabinet]",
    ),
    (
        "rear_hole = \"0.5 mm\"",
        "rear_hole = \"0.2 mm\"",
        "narrower than the line",
    ),
    ("rear_hole = \"0.5 mm\"", "rear_hole = 0", "must be above 0"),
    // the peephole
    (
        "diameter = \"9 mm\"",
        "diameter = \"9 deg\"",
        "measures an angle",
    ),
    (
        "diameter = \"9 mm\"",
        "radius = \"4.5 mm\"",
        "has no `diameter`",
    ),
    (
        "diameter = \"9 mm\"",
        "diameter = \"-9 mm\"",
        "must be above 0",
    ),
    (
        "diameter = \"9 mm\"",
        "diameter = \"9 mm\"\nclip_below = 0",
        "must be above 0 and at most 1",
    ),
    (
        "diameter = \"9 mm\"",
        "diameter = \"9 mm\"\nclip_below = \"25 mm\"",
        "measures a length",
    ),
    (
        "eye_relief = \"12 mm\"",
        "eye_relief = \"180 mm\"",
        "at or behind the front plate",
    ),
    (
        "eye_relief = \"12 mm\"",
        "eye_relief = \"12\"",
        "a text without a unit",
    ),
    (
        "eye_relief = \"12 mm\"",
        "eye_relief = \"12 mm\"\nplate_thickness = \"thin\"",
        "does not start with a number",
    ),
    // the line
    (
        "material = \"nylon\"",
        "material = \"spider silk\"",
        "allowed here: nylon",
    ),
    (
        "material = \"nylon\"",
        "material = [\"nylon\"]",
        "must be a text in quotes",
    ),
    (
        "material = \"nylon\"",
        "mass_per_length = \"-1 g/m\"",
        "must be 0 or more",
    ),
    (
        "material = \"nylon\"",
        "mass_per_length = \"1 g\"",
        "unknown unit `g`",
    ),
    ("diameter = \"0.25 mm\"", "", "has no `diameter`"),
    (
        "diameter = \"0.25 mm\"",
        "diameter = \"0.25 N\"",
        "measures a force",
    ),
    ("tension = \"8 N\"", "", "the tension of all lines"),
    ("tension = \"8 N\"", "tension = \"-8 N\"", "must be above 0"),
    (
        "tension = \"8 N\"",
        "tension = \"8 kg\"",
        "unknown unit `kg`",
    ),
    (
        "tension = \"8 N\"",
        "tension = \"8 N\"\ntensions = 8",
        "must be a table",
    ),
    (
        "tension = \"8 N\"",
        "tension = \"8 N\"\ntensions = { bwo = \"8 N\" }",
        "did you mean `bow`?",
    ),
    (
        "tension = \"8 N\"",
        "tension = \"8 N\"\ntensions = { bow = \"0 N\" }",
        "must be above 0",
    ),
    (
        "tension = \"8 N\"",
        "tension = \"8 N\"\nthreading = \"yes\"",
        "must be a table",
    ),
    (
        "tension = \"8 N\"",
        "tension = \"8 N\"\nthreading = { friction = 0.2, tightened = \"each run\" }",
        "has no `order`",
    ),
    (
        "tension = \"8 N\"",
        "tension = \"8 N\"\nthreading = { order = [\"bow\", \"bow\"], friction = 0.2, tightened = \"each run\" }",
        "names the line `bow` twice",
    ),
    (
        "tension = \"8 N\"",
        "tension = \"8 N\"\nthreading = { order = [\"bow\", \"stern\"], friction = 0.2, tightened = \"each run\" }",
        "order leaves out 8 line(s)",
    ),
    (
        "tension = \"8 N\"",
        "tension = \"8 N\"\nthreading = { order = [1, 2], friction = 0.2, tightened = \"each run\" }",
        "must be a line's name in quotes",
    ),
    (
        "tension = \"8 N\"",
        "tension = \"8 N\"\nthreading = { order = \"bow\", friction = 0.2, tightened = \"each run\" }",
        "must be a list",
    ),
    (
        "tension = \"8 N\"",
        "tension = \"8 N\"\nthreading = { order = [], friction = 3, tightened = \"loosely\", enters = \"top\", pulled_at = \"middle\" }",
        "must be from 0 to 2",
    ),
    (
        "tension = \"8 N\"",
        "tension = \"8 N\"\nthreading = { order = [\"bow\"], friction = 0.2, tightened = \"each run\", enters = \"top\" }",
        "enters is `top`, allowed here: front, rear",
    ),
    (
        "tension = \"8 N\"",
        "tension = \"8 N\"\nthreading = { order = [\"bow\"], friction = 0.2, tightened = \"each run\", pulled_at = \"middle\" }",
        "allowed here: first, last",
    ),
    (
        "tension = \"8 N\"",
        "tension = \"8 N\"\nthreading = { order = [\"bow\"], friction = \"0.2 N\", tightened = \"each run\" }",
        "measures a force",
    ),
    // the rods
    (
        "material = \"bamboo\"",
        "material = \"oak\"",
        "allowed here: bamboo",
    ),
    (
        "material = \"bamboo\"",
        "material = \"bamboo\"\nmass_per_length = \"2 g/m\"",
        "one of them is enough",
    ),
    (
        "material = \"bamboo\"",
        "colour = \"red\"",
        "unknown key `colour` in [rods]",
    ),
    (
        "diameter = \"1.8 mm\"",
        "diameter = \"1.8 mm\"\nnearest = \"500 mm\"\nfarthest = \"200 mm\"",
        "must not be above farthest",
    ),
    (
        "diameter = \"1.8 mm\"",
        "diameter = \"1.8 mm\"\nshortest = \"0 mm\"",
        "must be above 0",
    ),
    (
        "diameter = \"1.8 mm\"",
        "diameter = \"1.8 mm\"\nfarthest = \"561 mm\"",
        "must lie between 180 and 560 mm",
    ),
    (
        "lines = [\"bow\", \"stern\"]",
        "lines = \"bow\"",
        "must be a list",
    ),
    (
        "lines = [\"bow\", \"stern\"]",
        "lines = [1, 2]",
        "must be the names of two vertices",
    ),
    (
        "lines = [\"bow\", \"stern\"]",
        "lines = [\"bow\", \"stern\", \"mast-top\"]",
        "must be the names of two vertices",
    ),
    (
        "lines = [\"bow\", \"stern\"]",
        "lines = [\"bow\", \"\"]",
        "no vertex has the name ``",
    ),
    (
        "lines = [\"bow\", \"stern\"]",
        "between = [\"bow\", \"stern\"]",
        "has no `lines`",
    ),
    (
        "depths = [\"360 mm\", \"450 mm\"]",
        "depths = [\"360 mm\", \"560 mm\"]",
        "must be between the plates",
    ),
    (
        "depths = [\"360 mm\", \"450 mm\"]",
        "depths = [\"360 mm\", \"deep\"]",
        "does not start with a number",
    ),
    (
        "depths = [\"360 mm\", \"450 mm\"]",
        "depths = \"360 mm\"",
        "must be a list",
    ),
    (
        "depths = [\"360 mm\", \"450 mm\"]",
        "depths = [-360, 450]",
        "must be between the plates",
    ),
    (
        "depths = [\"360 mm\", \"450 mm\"]",
        "depth = [360, 450]",
        "did you mean `depths`?",
    ),
    (
        "name = \"deck\"",
        "name = \"\\u001b]8;;file:///\\u001b\\\\deck\"",
        "no control characters",
    ),
    (
        "name = \"deck\"",
        "name = [\"deck\"]",
        "must be a text in quotes",
    ),
    (
        "name = \"deck\"",
        "name = \"deck\", diameter = \"0 mm\"",
        "must be above 0",
    ),
    // errors of the work
    (
        "[errors.rod]",
        "[errors]\nrod = 3\n[errors.rod]",
        "duplicate key",
    ),
    (
        "[errors.rod]",
        "[errors.front]\nhole_scatter = \"normal\"\n[errors.rod]",
        "does not start with a number",
    ),
    (
        "[errors.rod]",
        "[errors.front]\nhole_scatter = { form = \"normal\", sd = \"0.1 mm\", mean = [1] }\n[errors.rod]",
        "must be two quantities",
    ),
    (
        "[errors.rod]",
        "[errors.front]\nhole_scatter = { form = \"disc\" }\n[errors.rod]",
        "has no `radius`",
    ),
    (
        "[errors.rod]",
        "[errors.front]\nhole_scatter = { form = \"disc\", radius = \"-1 mm\" }\n[errors.rod]",
        "must be above 0",
    ),
    (
        "[errors.rod]",
        "[errors.front]\nhole_scatter = { sd = \"1 mm\" }\n[errors.rod]",
        "has no `form`",
    ),
    (
        "[errors.rod]",
        "[errors.front]\nhole_scatter = { form = 3 }\n[errors.rod]",
        "must be a text in quotes",
    ),
    (
        "[errors.rod]",
        "[errors.front]\nseat_depth = { form = \"truncated normal\", sd = \"1 mm\" }\n[errors.rod]",
        "has no `half_width`",
    ),
    (
        "[errors.rod]",
        "[errors.front]\nseat_depth = { form = \"fixed\" }\n[errors.rod]",
        "has no `value`",
    ),
    (
        "[errors.rod]",
        "[errors.front]\nseat_depth = { form = \"uniform\", sd = \"1 mm\" }\n[errors.rod]",
        "has no `half_width`",
    ),
    (
        "[errors.rod]",
        "[errors.front]\nseat_depth = { form = \"triangular\", half_width = 0 }\n[errors.rod]",
        "must be above 0",
    ),
    (
        "[errors.rod]",
        "[errors.front]\nseat_depth = { form = \"arcsine\", plus_minus = \"1 mm\", coverage = 1.2 }\n[errors.rod]",
        "coverage is 1.2",
    ),
    (
        "[errors.rod]",
        "[errors.line]\nhand_tension = { form = \"lognormal\", median = 0, sd_log = 0.1 }\n[errors.rod]",
        "must be above 0",
    ),
    (
        "[errors.rod]",
        "[errors.line]\nhand_tension = \"1 N\"\n[errors.rod]",
        "measures a force",
    ),
    (
        "[errors.rod]",
        "[errors.line]\nslackening = 0\n[errors.rod]",
        "must stay between 0 and 10",
    ),
    (
        "[errors.rod]",
        "[errors.plates]\nhole_slack = { angle = \"3 deg\" }\n[errors.rod]",
        "has no `direction`",
    ),
    (
        "[errors.rod]",
        "[errors.plates]\nhole_slack = { direction = \"north\" }\n[errors.rod]",
        "does not start with a number",
    ),
    (
        "[errors.rod]",
        "[errors.plates]\nhole_slack = \"Random\"\n[errors.rod]",
        "must be \"random\"",
    ),
    (
        "[errors.rod]",
        "[errors.plates]\ntilt_x = \"1 rad\"\n[errors.rod]",
        "stands square to the axis",
    ),
    (
        "[errors.rod]",
        "[errors.peephole]\nshift = [\"1 mm\"]\n[errors.rod]",
        "must be two quantities",
    ),
    (
        "[errors.rod]",
        "[errors.peephole]\nshift = [\"190 mm\", 0]\n[errors.rod]",
        "it is a length across the axis",
    ),
    (
        "[errors.rod]",
        "[errors.gallery]\nnoise = 1\n[errors.rod]",
        "unknown key `gallery` in [errors]",
    ),
    // the eye
    (
        "luminance = \"200 cd/m2\"\n",
        "luminance = 0\n",
        "must be above 0",
    ),
    (
        "luminance = \"200 cd/m2\"\n",
        "luminance = \"200 lx\"\n",
        "unknown unit `lx`",
    ),
    (
        "luminance = \"200 cd/m2\"\n",
        "wavelength = 0\n",
        "must be above 0",
    ),
    (
        "luminance = \"200 cd/m2\"\n",
        "focus_distance = \"-1 m\"\n",
        "must be above 0",
    ),
    (
        "luminance = \"200 cd/m2\"\n",
        "offset = \"3 deg\"\n",
        "measures an angle",
    ),
    (
        "luminance = \"200 cd/m2\"\n",
        "acuity = \"off\"\n",
        "an eye has one",
    ),
    (
        "luminance = \"200 cd/m2\"\n",
        "iris = \"blue\"\n",
        "unknown key `iris` in [eye]",
    ),
    (
        "field_area = \"900 deg2\"",
        "field_area = \"900 deg\"",
        "measures an angle",
    ),
    (
        "field_area = \"900 deg2\"",
        "field_area = \"900 deg2\", both_eyes = 1",
        "must be true or false",
    ),
    (
        "mean = \"45 years\"",
        "mean = \"145 years\"",
        "must stay from 0 to 120",
    ),
    (
        "mean = \"45 years\"",
        "mean = \"45 months\"",
        "unknown unit `months`",
    ),
    // judging
    (
        "finish = \"clean\"",
        "finish = 3",
        "must be a text in quotes",
    ),
    (
        "finish = \"clean\"",
        "frame = \"free\"",
        "allowed here: fitted, fixed",
    ),
    (
        "finish = \"clean\"",
        "acuity_factor = -1",
        "must be 0 or more",
    ),
    (
        "finish = \"clean\"",
        "cover = \"half\"",
        "does not start with a number",
    ),
    (
        "finish = \"clean\"",
        "acuity_factor = 0\ncover = 0\nshare_of_figure = 0",
        "the limit would be 0",
    ),
    (
        "finish = \"clean\"",
        "gap_limit = \"1 mm\"",
        "measures a length",
    ),
    (
        "finish = \"clean\"",
        "drift_limit = \"0 arcmin\"",
        "must be from 0.001 to 10000 arcmin",
    ),
    (
        "finish = \"clean\"",
        "hold_share = 0",
        "must be above 0 and at most 1",
    ),
    (
        "finish = \"clean\"",
        "hold_share = \"90 percent\"",
        "unknown unit `percent`",
    ),
    // the run
    ("seed = 21", "seed = 21.0", "must be a whole number"),
    ("seed = 21", "seed = \"21\"", "must be a whole number"),
    (
        "seed = 21",
        "seed = 9223372036854775808",
        "must be a whole number",
    ),
    ("seed = 21", "seed = 0x", "seed"),
    ("seed = 21", "seed = 2__1", "seed"),
    ("seed = 21", "seed = true", "must be a whole number"),
    ("builds = 100000", "builds = 1e5", "must be a whole number"),
    (
        "builds = 100000",
        "builds = 1000000001",
        "must be a whole number from 1 to 1000000000",
    ),
    ("builds = 100000", "builds = -5", "must be a whole number"),
    (
        "looks = 16",
        "looks = 0",
        "must be a whole number from 1 to 1000",
    ),
    (
        "looks = 16",
        "looks = 1001",
        "must be a whole number from 1 to 1000",
    ),
    (
        "half_width = 0.002",
        "half_width = 0.5",
        "must be above 0 and below 0.5",
    ),
    (
        "half_width = 0.002",
        "half_width = nan",
        "must be a finite number",
    ),
    (
        "half_width = 0.002",
        "half_width = \"0.2 ‰\"",
        "unknown unit",
    ),
    (
        "half_width = 0.002",
        "level = 95",
        "must be from 0.5 to 0.999999",
    ),
    (
        "half_width = 0.002",
        "level = 1",
        "must be from 0.5 to 0.999999",
    ),
    (
        "half_width = 0.002",
        "interval = \"bayes\"",
        "allowed here: ",
    ),
    (
        "half_width = 0.002",
        "sampling = \"lattice\"",
        "allowed here: ",
    ),
    // what a layout is allowed
    ("width = \"320 mm\"", "", "has no `width`"),
    ("width = \"320 mm\"", "width = 0", "must be above 0"),
    (
        "width = \"320 mm\"",
        "wdith = \"320 mm\"",
        "did you mean `width`?",
    ),
    (
        "height = \"260 mm\"",
        "height = \"120 mm\"",
        "must be within the cabinet's height",
    ),
    (
        "depth = \"600 mm\"",
        "depth = \"deep\"",
        "does not start with a number",
    ),
    (
        "eye_height = \"125 mm\"",
        "eye_height = \"0 mm\"",
        "must be above 0",
    ),
    (
        "eye_height = \"125 mm\"",
        "eye_height = \"125 mm\"\neye_from_left = \"320 mm\"",
        "must be under the cabinet's width",
    ),
    (
        "eye_height = \"125 mm\"",
        "eye_height = \"125 mm\"\nstands_at = \"200 mm\"",
        "measured from the ground",
    ),
    (
        "eye_height = \"125 mm\"",
        "eye_height = \"125 mm\"\nstands_at = true",
        "must be a length",
    ),
    (
        "rod_gap = \"0.5 mm\"",
        "rod_gap = \"-0.5 mm\"",
        "must be 0 or more",
    ),
    (
        "rod_gap = \"0.5 mm\"",
        "least_spread = 0.6",
        "must be from 0 to 0.5",
    ),
    (
        "rod_gap = \"0.5 mm\"",
        "smallest_figure = \"30 deg\"\nlargest_figure = \"20 deg\"",
        "must not be above largest_figure",
    ),
    (
        "rod_gap = \"0.5 mm\"",
        "smallest_figure = \"100 mm\"",
        "measures a length",
    ),
    (
        "rod_gap = \"0.5 mm\"",
        "apart_within = 0",
        "must be above 0",
    ),
    (
        "rod_gap = \"0.5 mm\"",
        "front_room = [1, 2]",
        "must be a length",
    ),
    (
        "rod_gap = \"0.5 mm\"",
        "paint = \"black\"",
        "unknown key `paint` in [allowed]",
    ),
    ("[allowed]", "[[allowed]]", "must be a table"),
    // costs and ways
    (
        "[eye]",
        "[cost]\nunit = \"EUR\"\nminute = nan\n[eye]",
        "must be a finite number",
    ),
    (
        "[eye]",
        "[cost]\nunit = \"E\\u202EUR\"\nminute = 1\n[eye]",
        "turn the direction of text",
    ),
    (
        "[eye]",
        "[[ways]]\nstep = \"tie\"\nname = \"a\"\ncost = inf\n[eye]",
        "must be a finite number",
    ),
    (
        "[eye]",
        "[[ways]]\nstep = \"tie\"\nname = \"a\"\ncost = 1\nreason = 3\n[eye]",
        "must be a text in quotes",
    ),
    (
        "[eye]",
        "[[ways]]\nstep = 3\nname = \"a\"\ncost = 1\n[eye]",
        "must be a text in quotes",
    ),
    (
        "[eye]",
        "[[ways]]\nstep = \"tie\"\nname = \"a\"\ncost = 1\nneeds = \"b\"\n[eye]",
        "must be a table",
    ),
];
