/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * How a page in HTML looks: one sheet of style for screen and paper.
 *
 * All colours are dark on white, at 7 to 1 or better. A tone's colour only
 * repeats what a word says; weight, slant and borders tell tones apart on a
 * grey copy. On a narrow screen pairs stack, and what cannot be narrowed (a
 * table, an excerpt) scrolls inside a frame of its own that can be reached by
 * the keyboard. On paper the head of a table is repeated and no row is cut.
 */
#include "present/present_impl.h"

static const char style[] =
"*{box-sizing:border-box}\n"
"html{color:#111;background:#fff;font:100%/1.5 sans-serif}\n"
"body{max-width:50rem;margin:0 auto;padding:1rem;overflow-wrap:anywhere}\n"
"h1{font-size:1.7em;line-height:1.2;margin:.3em 0 .5em}\n"
"h2{font-size:1.3em;line-height:1.25;margin:1.4em 0 .4em;border-bottom:1px solid #555}\n"
"h3{font-size:1.1em;margin:1.1em 0 .3em}\n"
"h4{font-size:1em;margin:1em 0 .3em}\n"
"p{margin:.5em 0}\n"
"p,li,dd,td,th,figcaption{white-space:pre-line}\n"
".class{font-weight:bold}\n"
"ul{padding:0;margin:.5em 0;list-style:none;white-space:normal}\n"
"ul ul{padding-left:1.2em;margin:.1em 0}\n"
"li{margin:.25em 0;break-inside:avoid}\n"
"body>main>ul>li{margin:.7em 0}\n"
"li.bare{list-style:disc outside;margin-left:1.2em}\n"
".label{font-weight:bold}\n"
"ul ul .label{font-weight:normal;font-style:italic}\n"
"dl{margin:.5em 0}\n"
"dl>div{display:grid;grid-template-columns:minmax(7rem,12rem) 1fr;gap:0 1em;break-inside:avoid;"
"margin:.15em 0}\n"
"dt{font-weight:bold}\n"
"dd{margin:0}\n"
".wide{overflow-x:auto;margin:.8em 0}\n"
".wide:focus-visible,a:focus-visible{outline:3px solid #00467f;outline-offset:2px}\n"
"table{border-collapse:collapse;min-width:50%}\n"
"caption{text-align:left;font-weight:bold;padding:.2em 0}\n"
"th,td{border:1px solid #555;padding:.3em .5em;text-align:left;vertical-align:top;"
"overflow-wrap:break-word;min-width:4em}\n"
"thead th{background:#ededed}\n"
"pre{margin:0;padding:.5em;border-left:4px solid #555;font-size:.9em;line-height:1.35}\n"
"figure{margin:1em 0;break-inside:avoid}\n"
"svg{display:block;max-width:100%;height:auto}\n"
"figcaption{margin-top:.4em;font-size:.95em}\n"
".boxes{display:flex;flex-wrap:wrap;gap:4mm;margin:.8em 0}\n"
".box{border:1.5px solid #333;max-width:100%;padding:1mm 2mm;margin:0;break-inside:avoid;"
"font-size:.85em}\n"
".cards>li{border:1px solid #555;padding:.4em .7em;margin:.6em 0}\n"
".cards dl>div{display:block;margin:.15em 0}\n"
".cards dt,.cards dd{display:inline}\n"
".cards dt::after{content:\": \"}\n"
".cards p{font-weight:bold;margin:0 0 .2em}\n"
"hr{border:0;border-top:1px solid #555;margin:2em 0}\n"
"footer{margin-top:2em;border-top:1px solid #555;font-size:.9em}\n"
".grave{color:#8b0000;font-weight:bold}\n"
".doubtful{color:#5c3d00;font-weight:bold}\n"
".mention{color:#003f5c}\n"
".open{color:#4b1f6f;font-style:italic}\n"
".good{color:#00451f}\n"
"td.grave,th.grave{border:2.5px solid #111}\n"
"td.doubtful,th.doubtful{border-left:5px double #111}\n"
"td.open,th.open{border-style:dashed}\n"
"@media (max-width:30rem){\n"
"dl>div{display:block;margin:.5em 0}\n"
"ul ul{padding-left:.8em}\n"
"}\n"
"@media print{\n"
"html{font-size:10.5pt;line-height:1.35}\n"
"body{max-width:none;padding:0}\n"
".wide{overflow:visible}\n"
"table{width:100%}\n"
"thead{display:table-header-group}\n"
"tr{break-inside:avoid}\n"
"caption,h1,h2,h3,h4,.class{break-after:avoid}\n"
"p,li{orphans:2;widows:2}\n"
"pre{white-space:pre-wrap}\n"
"td,th{min-width:0}\n"
"thead th{print-color-adjust:exact;-webkit-print-color-adjust:exact}\n"
"hr{break-after:page;border:0;margin:0;height:0}\n"
"footer{display:none}\n"
"}\n";

/* Large print: letters of 18 points and more, one column, nothing slanted or
 * grey, room between lines and around what is to be told apart. */
static const char large[] =
"html{font-size:150%;line-height:1.6;color:#000}\n"
"h2,hr,footer{border-width:2px;border-color:#000}\n"
"h3,h4{font-size:1.1em}\n"
".label,ul ul .label,.open{font-style:normal;font-weight:bold}\n"
"figcaption,footer,.box,pre{font-size:1em}\n"
"main>dl>div{display:block;margin:.6em 0}\n"
"ul ul{padding-left:.8em}\n"
"th,td,.cards>li,.box{border-width:2px;border-color:#000}\n"
"td,th{padding:.4em .6em}\n"
"@media print{html{font-size:18pt;line-height:1.5}}\n";

/* Text in a string of a style sheet: all but letters, digits and blanks of
 * ASCII by number, so that nothing can end the string. */
static void
style_string(struct buf *b, const char *text)
{
	struct buf safe = {0};
	strview v;

	text_safe(&safe, sv(text));
	v = (strview){safe.p != NULL ? safe.p : "", safe.n};
	buf_char(b, '"');
	for (size_t at = 0, n; at < v.n; at += n) {
		unsigned char c = (unsigned char)v.p[at];
		bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == ' ' ||
		    (c >= '0' && c <= '9') || c >= 0x80;

		n = utf8_step(v, at);
		if (plain)
			buf_add(b, v.p + at, n);
		else
			buf_print(b, "\\%x ", c);
	}
	buf_char(b, '"');
	buf_free(&safe);
}

static void
margin(struct buf *b, const char *where, const char *text)
{
	if (text == NULL || *text == '\0')
		return;
	buf_print(b, "@%s{content:", where);
	style_string(b, text);
	buf_str(b, ";font:9pt sans-serif}\n");
}

void
html_style(struct buf *b, const struct page *p, const struct sheet *sheet)
{
	buf_str(b, "<style>\n");
	buf_str(b, style);
	if (sheet->large)
		buf_str(b, large);
	buf_print(b, "@page{size:%s;margin:18mm;\n", paper_names[sheet->paper]);
	margin(b, "top-right", p->about.class_line);
	margin(b, "bottom-left", p->about.foot);
	buf_str(b, "@bottom-right{content:counter(page) \" / \" counter(pages);font:9pt sans-serif}\n"
	    "}\n</style>\n");
}
