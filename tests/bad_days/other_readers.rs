//! Bad explicit files, sheets, tables, drawings, solids, counts and measured columns: the text and what must be told of it.

/// Explicit files for `see` of the sailing boat.
pub const EXPLICIT: &[(&str, &str)] = &[
    (
        "[front]\npattern_shift = \"1 mm\"",
        "must be two quantities",
    ),
    (
        "[front]\npattern_shift = [\"1 mm\", \"2 N\"]",
        "measures a force",
    ),
    (
        "[front]\npattern_shift = [1, 2, 3]",
        "must be two quantities",
    ),
    ("[front]\npattern_turn = \"1 mm\"", "measures a length"),
    (
        "[front]\ntilt_x = { form = \"normal\", sd = 1 }",
        "must be an angle",
    ),
    ("[front]\nseat_depth = nan", "must be a finite number"),
    (
        "[front]\nhole_scatter = [0, 0]",
        "unknown key `hole_scatter` in [front]",
    ),
    ("[plates]\ntilt_x = 1", "unknown key `plates`"),
    ("front = 3", "must be a table"),
    (
        "[holes.front]\nbwo = { scatter = [0, 0] }",
        "did you mean `bow`?",
    ),
    ("[holes.front]\nbow = [0, 0]", "must be a table"),
    (
        "[holes.front]\nbow = { shift = [0, 0] }",
        "unknown key `shift`",
    ),
    (
        "[holes.front]\nbow = { slack_towards = \"up\" }",
        "does not start with a number",
    ),
    (
        "[holes.middle]\nbow = { slack = [0, 0] }",
        "unknown key `middle` in [holes]",
    ),
    (
        "[holes]\nbow = { slack = [0, 0] }",
        "unknown key `bow` in [holes]",
    ),
    ("[lines]\nbow = { tension = \"-1 N\" }", "must be above 0"),
    ("[lines]\nbow = { tension = \"1 mm\" }", "measures a length"),
    ("[lines]\nbow = { sag = 1 }", "unknown key `sag`"),
    (
        "[lines]\n\"\" = { tension = \"1 N\" }",
        "no line has the name",
    ),
    (
        "[lines]\n\"\\u001b[2J\" = { tension = \"1 N\" }",
        "no line has the name",
    ),
    ("[rods]\ndeck = { tie = 3 }", "must be a list"),
    (
        "[rods]\ndeck = { tie = [[1, 2], 3] }",
        "must be two quantities",
    ),
    (
        "[rods]\ndeck = { tie = [[1, 2], [\"3 N\", 4]] }",
        "measures a force",
    ),
    ("[rods]\ndeck = { bow = 0.1 }", "must be two quantities"),
    ("[rods]\ndcek = { slip = [0, 0] }", "did you mean `deck`?"),
    ("[peephole]\ndiameter = \"0 mm\"", "must be above 0"),
    ("[peephole]\nshift = \"off\"", "must be two quantities"),
    ("[eye]\npupil = \"-3 mm\"", "must be above 0"),
    ("[eye]\noffset = [inf, 0]", "must be a finite number"),
    ("[eye]\nage = 30", "unknown key `age` in [eye]"),
    ("sag = 1", "must be true or false"),
    ("sag = true\nsag = false", "duplicate key"),
    ("sag = ", "one.toml:1:"),
    ("[eye", "one.toml:1:"),
    ("\u{feff}\u{feff}sag = true", "one.toml:1:"),
];

/// Sheets from the bench of the sailing boat: whole texts.
pub const SHEETS: &[(&str, &str)] = &[
    (
        "quantity,line,value\ntone,bow,\"4\"00\n",
        "more stands behind the quotation mark",
    ),
    ("quantity,line,value\ntone,bow,4 00\n", "must be a number"),
    ("quantity,line,value\ntone,bow,４００\n", "must be a number"),
    ("quantity,line,value\ntone,bow,−400\n", "must be above 0"),
    ("quantity,line,value\ntone,bow,=400\n", "must be a number"),
    (
        "quantity,line,value\ntone,bow,=HYPERLINK(\"x\")\n",
        "must be a number",
    ),
    ("quantity,line,value\ntone,bow,+-4\n", "must be a number"),
    ("quantity,line,value\ntone,bow,0x190\n", "must be a number"),
    ("quantity,line,value\ntone,bow,400?\n", "must be a number"),
    ("quantity,line,value\ntone,bow,~400\n", "must be a number"),
    (
        "quantity,line,value\ntone,bow,400 ± 2\n",
        "must be a number",
    ),
    ("quantity,line,value\ntone,bow,\"400\n", "b.csv:2:10: "),
    ("quantity,line,value\ntone,bow,4\"0\"0\n", "b.csv:2:"),
    ("quantity,line,value\ntone,bow,400,,,7\n", "b.csv:2:"),
    (
        "quantity,line,value\n\"to\nne\",bow,400\n",
        "unknown quantity",
    ),
    (
        "quantity\tline\tvalue\ntone\tbow\tfast\n",
        "must be a number",
    ),
    ("quantity;line;value\ntone;bow;4,0,0\n", "must be a number"),
    (
        "quantity;line;value\ntone;bow;1.000,5\n",
        "must be a number",
    ),
    (
        "QUANTITY LINE VALUE\ntone bow 400\n",
        "must name the columns",
    ),
    ("quantity,line,value,unit\ntone,bow,400,kHz mm\n", "unit"),
    ("quantity,line,value,unit\ntension,bow,4,lb\n", "unit"),
    (
        "quantity,line,rod,at,value,x,y,unit,plus_minus,planned,remark\nseen end,bow,deck,,,1e300,2,,,,\n",
        "x is `1e300`",
    ),
    (
        "quantity,line,rod,at,value,x,y,unit,plus_minus,planned,remark\nseen end,bow,deck,,,,,,0.1,,\n",
        "b.csv:",
    ),
    (
        "quantity,line,rod,at,value,x,y,unit,plus_minus,planned,remark\nseen end,stern,bow,,,1,2,,,,\n",
        "no rod has the name `bow`",
    ),
    (
        "quantity,line,rod,at,value,x,y,unit,plus_minus,planned,remark\nfront hole,\u{1b}[31mbow,,,,1,2,,,,\n",
        "b.csv:2:",
    ),
    (
        "quantity,line,rod,at,value,x,y,unit,plus_minus,planned,remark\nfront hole,bow\u{0},,,,1,2,,,,\n",
        "b.csv:2:",
    ),
    ("quantity,line,value\r\ntone,bow,fast\r\n", "b.csv:2:10: "),
    ("quantity,line,value\rtone,bow,fast\r", "b.csv:"),
    ("{\"quantity\": \"tone\"}", "b.csv:1:1"),
    ("PK\u{3}\u{4}sheet", "b.csv:1:1"),
    ("<html><table></table></html>", "b.csv:1:1"),
];

/// Tables of edges.
pub const TABLES: &[(&str, &str)] = &[
    (
        "vertex,a,=1+1,0\nvertex,b,90,0\nedge,a,b\n",
        "a number is needed",
    ),
    (
        "vertex,a,０,0\nvertex,b,90,0\nedge,a,b\n",
        "a number is needed",
    ),
    (
        "vertex,a,−5,0\nvertex,b,90,0\nedge,a,b\n",
        "a number is needed",
    ),
    (
        "vertex,a,0,0,MM\nvertex,b,90,0\nedge,a,b\n",
        "unknown unit `MM`",
    ),
    ("vertex,a,0,0,N\nvertex,b,90,0\nedge,a,b\n", "unit `N`"),
    (
        "vertex,a,0,0,mm,more\nvertex,b,90,0\nedge,a,b\n",
        "stands beyond the last cell",
    ),
    ("vertex,a\u{7},0,0\nvertex,b,90,0\nedge,a,b\n", "t.csv:1:8"),
    (
        "vertex,a\u{202e},0,0\nvertex,b,90,0\nedge,a,b\n",
        "t.csv:1:8",
    ),
    (
        "vertex,a,-inf,0\nvertex,b,90,0\nedge,a,b\n",
        "must be a finite number",
    ),
    (
        "vertex,a,0,0\nvertex,b,90,0\nedge,a,b\nedge,b,a\nedge,,\n",
        "an edge's first end has no name",
    ),
    (
        "Vertex,a,0,0\nvertex,b,90,0\nedge,a,b\n",
        "did you mean `vertex`?",
    ),
    ("edge,a,b\n", "which no row has"),
    (
        "vertex;a;0,5;0;mm\nvertex;b;9,0,0;0\nedge;a;b\n",
        "a number is needed",
    ),
    ("vertex,a,\"0\"1,0\nvertex,b,90,0\nedge,a,b\n", "t.csv:1:"),
    (
        "name,x,y\na,0,0\nb,90,0\n",
        "must begin with `vertex` or `edge`",
    ),
    ("vertex,a,0,0\nvertex,b,0,0\nedge,a,b\n", "longer than"),
];

/// What stands within an SVG of 200 × 200 mm, from its second line on.
pub const DRAWINGS: &[(&str, &str)] = &[
    (
        "<g transform='rotate(90 5)'><line x2='9'/></g>",
        "must have 1 or 3",
    ),
    (
        "<g transform='scale(1) skewX(1-2)'><line x2='9'/></g>",
        "has 2 numbers in skewX",
    ),
    (
        "<g transform='translate()'><line x2='9'/></g>",
        "has 0 numbers in translate",
    ),
    ("<path d='M 0 0 L 1e38 1e38'/>", "d.svg:2:"),
    ("<path d='M0,0 L５,5'/>", "d.svg:2:"),
    ("<path d='M0,0 L−5,5'/>", "d.svg:2:"),
    ("<path d='M0,0 A 1 1 0 2 0 5 5'/>", "d.svg:"),
    ("<rect width='-5' height='5'/>", "d.svg:"),
    ("<circle r='-5'/>", "d.svg:"),
    ("<line x1='=1' x2='9'/>", "d.svg:2:"),
    ("<line x1='1mmm' x2='9'/>", "unknown unit `mmm`"),
    ("<line x1='1 2' x2='9'/>", "d.svg:2:"),
    ("<g transform='scale()'><line x2='9'/></g>", "d.svg:2:"),
    ("<g transform='scale(nan)'><line x2='9'/></g>", "d.svg:2:"),
    (
        "<g transform='matrix(1 0 0 1 0)'><line x2='9'/></g>",
        "d.svg:2:",
    ),
    ("<g transform='scale(1e30)'><line x2='9'/></g>", "d.svg:"),
    ("<line x2='9'", "d.svg:3:"),
    ("<line x2='9' x2='10'/>", "d.svg:2:"),
    ("<line x2=9/>", "d.svg:2:"),
    ("<line x2='9'/></g>", "d.svg:2:"),
    ("<LINE x2='9'/>", "nothing that has an outline"),
    ("<line x2='&nbsp;'/>", "d.svg:2:"),
    ("<script>draw()</script>", "nothing that has an outline"),
    ("<!-- <line x2='9'/> -->", "nothing that has an outline"),
    ("<defs><line x2='9'/></defs>", "nothing that has an outline"),
    ("<line x2='0'/>", "d.svg"),
    ("<use href='#a' id='a'/>", "d.svg:2:"),
    ("\u{0}", "d.svg:2:"),
];

/// Wireframe solids, seen from far in front.
pub const SOLIDS: &[(&str, &str)] = &[
    ("v 0 0 0\nv 1 0 0\nl 1 3\n", "names no vertex"),
    ("v 0 0 0\nv 1 0 0\nl -1 -3\n", "names no vertex"),
    ("v 0 0 0\nv 1 0 0\nl 1 2147483648\n", "names no vertex"),
    (
        "v 0 0 0\nv 1 0 0\nl 1 99999999999999999999999\n",
        "s.obj:3:",
    ),
    ("v 0 0 0\nv 1 0 0\nl 1 1.5\n", "names no vertex"),
    ("v 0,0 0 0\nv 1 0 0\nl 1 2\n", "a number is needed"),
    ("v 0 0 nan\nv 1 0 0\nl 1 2\n", "s.obj:1:"),
    ("v 0 0 inf\nv 1 0 0\nl 1 2\n", "s.obj:1:"),
    ("v 0 0 −1\nv 1 0 0\nl 1 2\n", "a number is needed"),
    ("v\nv 1 0 0\nl 1 2\n", "has 0 coordinates, 3 are needed"),
    ("v 0 0 0\nv 1 0 0\nf 1 2 1e0\n", "names no vertex"),
    ("V 0 0 0\nV 1 0 0\nL 1 2\n", "s.obj"),
    ("l 1 2\nv 0 0 0\nv 1 0 0\n", "names no vertex"),
    ("v 0 0 0\nv 1 0 0\nl 1 \u{1b}[2J\n", "s.obj:3:"),
    ("v 0 0 0\nv 0 0 0\nl 1 2\n", "s.obj"),
    ("solid cube\nendsolid\n", "s.obj"),
    (
        "v 0 0 0\nv 1 0 100\nl 1 2\n",
        "lies at the eye or behind it",
    ),
];

/// What may be mistaken for a counts file.
pub const COUNTS: &[(&str, &str)] = &[
    ("", "bad.json:1:"),
    (" \n\t\n", "bad.json:"),
    ("true", "bad.json:1:"),
    ("{\"format\": \"sightdrift counts\"}", "missing field"),
    (
        "{\"format\": \"sightdrift counts\", \"format\": \"sightdrift counts\"}",
        "duplicate field",
    ),
    (
        "{\"format\": 1, \"schema\": 1, \"program\": \"\", \"sampling_version\": 2}",
        "invalid type",
    ),
    (
        "{\"format\": \"sightdrift report\", \"schema\": 1, \"program\": \"\", \"sampling_version\": 2}",
        "is no counts file",
    ),
    (
        "{\"format\": \"\\u001b[31m\", \"schema\": 1, \"program\": \"\", \"sampling_version\": 2}",
        "is no counts file",
    ),
    (
        "{\"format\": \"sightdrift counts\", \"schema\": 1, \"program\": \"\\u001b]8;;x\\u0007\", \"sampling_version\": 2}",
        "was made by version",
    ),
    (
        "{\"format\": \"sightdrift counts\", \"schema\": -1, \"program\": \"0\", \"sampling_version\": 2}",
        "bad.json:1:",
    ),
    (
        "{\"format\": \"sightdrift counts\", \"schema\": 1e9, \"program\": \"0\", \"sampling_version\": 2}",
        "bad.json:1:",
    ),
    ("{'format': 'sightdrift counts'}", "bad.json:1:2"),
    ("{\"format\": \"sightdrift counts\",}", "trailing comma"),
    ("// counts\n{}", "bad.json:1:1"),
    (
        "{\"format\": \"sightdrift counts\" \"schema\": 1}",
        "bad.json:1:",
    ),
    ("{\"format\": \"\\ud800\"}", "bad.json:1:"),
    ("NaN", "bad.json:1:"),
    ("title = \"boat\"", "bad.json:1:"),
];

/// Measured columns: the law that reads `m.csv` (two columns of lengths), its text, and what must be told.
pub const MEASURED: &[(&str, &str, &str)] = &[
    (
        "file = \"m.csv\", columns = [\"dx\", \"dy\"], unit = \"mm\"",
        "",
        "no column `dx`",
    ),
    (
        "file = \"m.csv\", columns = [\"dx\", \"dy\"], unit = \"mm\"",
        "dx,dy\n",
        "holds no number",
    ),
    (
        "file = \"m.csv\", columns = [\"dx\", \"dy\"], unit = \"mm\"",
        "dx,dy\n,\n,\n",
        "holds no number",
    ),
    (
        "file = \"m.csv\", columns = [\"dx\", \"dy\"], unit = \"mm\"",
        "dx,dy\n1,\n,2\n",
        "holds no number",
    ),
    (
        "file = \"m.csv\", columns = [\"dx\", \"dy\"], unit = \"mm\"",
        "dx,dy\n1,nan\n",
        "`nan` in column `dy` is no finite number",
    ),
    (
        "file = \"m.csv\", columns = [\"dx\", \"dy\"], unit = \"mm\"",
        "dx,dy\n-inf,1\n",
        "`-inf` in column `dx` is no finite number",
    ),
    (
        "file = \"m.csv\", columns = [\"dx\", \"dy\"], unit = \"mm\"",
        "dx,dy\n1,1e10\n",
        "within ± 1e9",
    ),
    (
        "file = \"m.csv\", columns = [\"dx\", \"dy\"], unit = \"mm\"",
        "dx,dy\n0.1,0.2\n0.1,0.2 mm\n",
        "line 3: `0.2 mm`",
    ),
    (
        "file = \"m.csv\", columns = [\"dx\", \"dy\"], unit = \"mm\"",
        "dx;dy\n0,1;0,2\n",
        "no column `dx`",
    ),
    (
        "file = \"m.csv\", columns = [\"dx\", \"dy\"], unit = \"mm\"",
        "dx,dy\n\"0,1\",0.2\n",
        "`0,1`",
    ),
    (
        "file = \"m.csv\", columns = [\"dx\", \"dy\"], unit = \"mm\"",
        "dx,dy\n=0.1,0.2\n",
        "`=0.1`",
    ),
    (
        "file = \"m.csv\", columns = [\"dx\", \"dy\"], unit = \"mm\"",
        "dx,dy\n0.1,0.2,0.3\n",
        "m.csv",
    ),
    (
        "file = \"m.csv\", columns = [\"dx\", \"dy\"], unit = \"mm\"",
        "dx,dy\n0.1\n",
        "m.csv",
    ),
    (
        "file = \"m.csv\", columns = [\"dx\", \"dy\"], unit = \"mm\"",
        "dx,dy\n\u{1b}[31m1,0.2\n",
        "m.csv",
    ),
    (
        "file = \"m.csv\", columns = [\"dx\", \"dy\"], unit = \"mm\"",
        "dx,dy\n400,0\n",
        "it is a length on the plate",
    ),
    (
        "file = \"m.csv\", columns = [\"dx\", \"dx\"], unit = \"mm\"",
        "dx,dx\n1,2\n",
        "two columns have the name `dx`",
    ),
    (
        "file = \"m.csv\", columns = [\"dx\", \"dy\", \"dz\"], unit = \"mm\"",
        "dx,dy\n1,2\n",
        "names 3 column(s), must be 2",
    ),
    (
        "file = \"m.csv\", columns = \"dx\", unit = \"mm\"",
        "dx,dy\n1,2\n",
        "must be a list",
    ),
    (
        "file = \"m.csv\", columns = [1, 2], unit = \"mm\"",
        "dx,dy\n1,2\n",
        "must be a column's name in quotes",
    ),
    (
        "file = \"m.csv\", unit = \"mm\"",
        "dx,dy\n1,2\n",
        "has no `columns`",
    ),
    (
        "file = \"m.csv\", columns = [\"dx\", \"dy\"]",
        "dx,dy\n1,2\n",
        "has no `unit`",
    ),
    (
        "columns = [\"dx\", \"dy\"], unit = \"mm\"",
        "dx,dy\n1,2\n",
        "has no `file`",
    ),
    (
        "file = \"\", columns = [\"dx\", \"dy\"], unit = \"mm\"",
        "dx,dy\n1,2\n",
        "cannot be read",
    ),
    (
        "file = \".\", columns = [\"dx\", \"dy\"], unit = \"mm\"",
        "dx,dy\n1,2\n",
        "is a folder",
    ),
    (
        "file = \"/dev/zero\", columns = [\"dx\", \"dy\"], unit = \"mm\"",
        "dx,dy\n1,2\n",
        "is no ordinary file",
    ),
    (
        "file = \"m.csv\\u0000\", columns = [\"dx\", \"dy\"], unit = \"mm\"",
        "dx,dy\n1,2\n",
        "cannot be read",
    ),
    (
        "file = \"gone.csv\", columns = [\"dx\", \"dy\"], unit = \"mm\"",
        "dx,dy\n1,2\n",
        "cannot be read",
    ),
    (
        "file = 3, columns = [\"dx\", \"dy\"], unit = \"mm\"",
        "dx,dy\n1,2\n",
        "must be a text in quotes",
    ),
    (
        "file = \"m.csv\", columns = [\"DX\", \"dy\"], unit = \"mm\"",
        "dx,dy\n1,2\n",
        "no column `DX`, there are: dx, dy",
    ),
    (
        "file = \"m.csv\", columns = [\"dx\", \"dy\"], unit = \"furlong\"",
        "dx,dy\n1,2\n",
        "allowed here: mm",
    ),
];

/// Bytes that no reader of text can take, and what is told of them.
pub const BYTES: &[(&[u8], &str)] = &[
    (b"\xff\xfe", "UTF-8"),
    (b"\xff\xfet\x00i\x00t\x00l\x00e\x00", "UTF-8"),
    (b"title = \"K\xf6nig\"", "UTF-8"),
    (b"\x1f\x8b\x08\x00\x00\x00", "UTF-8"),
    (b"\xed\xa0\x80", "UTF-8"),
    (b"\xc0\xaf", "UTF-8"),
    (b"\xf4\x90\x80\x80", "UTF-8"),
];
