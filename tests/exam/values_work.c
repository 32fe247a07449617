/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A figure worked out as the program would: by a unit, by a formula, or from
 * an entry.
 *
 * values_map.csv says which: domain ("*": any), names of the inputs ("?": may
 * be missing), output, how, what, with, gives (unit of the answer) and end (low
 * or high of a range; left out: its middle).  In what and with, {NAME} stands
 * for the text of an input, {*} for the texts of all; inputs "*": whatever they
 * are.  Where several lines fit, the first that has an answer gives it; what
 * further tables hold are other sources' figures.
 *   convert   with "INPUT:UNIT"
 *   formula   what its name, with "PARAMETER=INPUT:UNIT" parted by ";"
 *             (a NUMBER in place of an input stands for itself)
 *   property  what KIND.PROPERTY, with the name of the entry; the property by
 *             its name or by words of its label
 *   table     what its name, with words: the cell all whose words are among
 *             them; of several the one of most words, of equals all together;
 *             where no cell fits, by the names of the entry so called
 *   advice    what a setting, with a description in words: the choice and its neighbours
 *   class     what KIND.PROPERTY, with a class word
 */
#include "values.h"

#include <math.h>
#include <string.h>

/* ---- which line of the map ----------------------------------------------------- */

static bool
has_input(const struct figures *f, const char *name)
{
	for (uint32_t i = 0; i < f->n_inputs; i++)
		if (strcmp(f->input[i].name, name) == 0)
			return true;
	return false;
}

/* All names of the line that are not marked "?" are there, and no others; "*"
 * asks for nothing. */
static bool
inputs_fit(struct exam *x, const struct figures *f, const char *names)
{
	struct list l = list_split(x->row, names, ';');
	uint32_t known = 0;

	if (strcmp(names, "*") == 0)
		return true;
	for (uint32_t i = 0; i < l.n; i++) {
		size_t n = strlen(l.item[i]);
		bool may_miss = n > 0 && l.item[i][n - 1] == '?';
		char *name = arena_text(x->row, l.item[i], may_miss ? n - 1 : n);

		if (has_input(f, name))
			known++;
		else if (!may_miss)
			return false;
	}
	return known == f->n_inputs;
}

static bool
line_fits(struct exam *x, const struct figures *f, const struct sheet *map, uint32_t r)
{
	const char *domain = sheet_cell(map, r, "domain");

	return (strcmp(domain, "*") == 0 || strcmp(domain, f->domain) == 0) &&
	    strcmp(sheet_cell(map, r, "output"), f->output) == 0 &&
	    strcmp(sheet_cell(map, r, "how"), "flag") != 0 &&
	    inputs_fit(x, f, sheet_cell(map, r, "inputs"));
}

/* ---- inputs ---------------------------------------------------------------------- */

static bool
input_value(struct exam *x, const struct figures *f, const char *name, const char *unit,
    bool any_dim, dimension dim, range *out, dimension *of)
{
	int u = -1;

	for (uint32_t i = 0; any_dim && i < x->c->units->n && u < 0; i++)
		if (strcmp(x->c->units->u[i].name, unit) == 0)
			u = (int)i;
	if (!any_dim)
		u = unit_written(x, unit, dim);
	for (uint32_t i = 0; u >= 0 && i < f->n_inputs; i++) {
		uint16_t taken = (uint16_t)u;
		struct reading_for as = {.dim = x->c->units->u[u].dim, .units = &taken, .n_units = 1,
		    .bare = u, .domain = range_all(), .about = 0.1};
		struct reading read;

		if (strcmp(f->input[i].name, name) != 0)
			continue;
		read = reading_of(x->c->units, x->c->range_words, &as, sv(f->input[i].text), true);
		*out = read.value;
		*of = as.dim;
		return read.fault == READ_FINE;
	}
	if (u >= 0 && !has_input(f, name)) {
		size_t used;
		double number;

		*of = x->c->units->u[u].dim;
		if (number_read(sv(name), &used, &number) && used == strlen(name)) {
			bool ok;

			*out = unit_range_to_base(&x->c->units->u[u], (range){number, number}, &ok);
			return ok;
		}
	}
	return false;
}

/* "PARAMETER=INPUT:UNIT" or "INPUT:UNIT" in its parts. */
static bool
argument(struct exam *x, const char *text, const char **parameter, const char **input,
    const char **unit)
{
	const char *eq = strchr(text, '='), *colon = strrchr(text, ':');
	const char *from = eq != NULL ? eq + 1 : text;

	if (colon == NULL || colon < from)
		return false;
	*parameter = arena_text(x->row, text, eq != NULL ? (size_t)(eq - text) : 0);
	*input = arena_text(x->row, from, (size_t)(colon - from));
	*unit = colon + 1;
	return true;
}

static const char *
filled(struct exam *x, const struct figures *f, const char *what)
{
	struct buf b = {0};
	const char *t;

	for (const char *p = what; *p != '\0'; p++) {
		const char *close = *p == '{' ? strchr(p, '}') : NULL;

		if (close == NULL) {
			buf_char(&b, *p);
			continue;
		}
		for (uint32_t i = 0; i < f->n_inputs && sv_is((strview){p + 1, (size_t)(close - p - 1)},
		    "*"); i++) {
			buf_str(&b, i > 0 ? " " : "");
			buf_str(&b, *f->input[i].text != '\0' ? f->input[i].text : f->input[i].name);
		}
		for (uint32_t i = 0; i < f->n_inputs; i++)
			if (sv_is((strview){p + 1, (size_t)(close - p - 1)}, f->input[i].name))
				buf_str(&b, f->input[i].text);
		p = close;
	}
	t = arena_text(x->row, b.n > 0 ? b.p : "", b.n);
	buf_free(&b);
	return t;
}

/* ---- the three ways ----------------------------------------------------------------- */

static bool
by_unit(struct exam *x, const struct figures *f, const char *with, range *out, dimension *dim,
    const char **why)
{
	const char *parameter, *input, *unit;

	*why = "the input cannot be read in that unit";
	return argument(x, with, &parameter, &input, &unit) &&
	    input_value(x, f, input, unit, true, (dimension){0}, out, dim);
}

/* Sheets write names with low lines, formulas with hyphens. */
static const char *
hyphened(struct exam *x, const char *name)
{
	char *t = arena_text(x->row, name, strlen(name));

	for (char *p = t; *p != '\0'; p++)
		*p = *p == '_' ? '-' : *p;
	return t;
}

static bool
by_formula(struct exam *x, const struct figures *f, const char *name, const char *with, range *out,
    dimension *dim, const char **why)
{
	const struct craft *c = x->c;
	struct list l = list_split(x->row, with, ';');
	uint32_t formula = NONE;
	range arguments[INPUTS_MOST] = {{0, 0}};
	bool set[INPUTS_MOST] = {false};
	struct cell result;
	tri valid = TRI_TRUE;

	for (uint32_t i = 0; i < c->n_formula; i++)
		if (strcmp(craft_text(c, c->formula[i].name), name) == 0)
			formula = i;
	*why = arena_print(x->row, "no formula \"%s\"", name);
	if (formula == NONE || c->formula[formula].n_parameters > INPUTS_MOST)
		return false;
	for (uint32_t i = 0; i < l.n; i++) {
		const char *parameter, *input, *unit;

		if (!argument(x, l.item[i], &parameter, &input, &unit)) {
			*why = "the map's line is not \"parameter=input:unit\"";
			return false;
		}
		for (uint32_t k = 0; k < c->formula[formula].n_parameters; k++) {
			const struct parameter *p = &c->parameter[c->formula[formula].first_parameter + k];
			dimension of;

			if (strcmp(craft_text(c, p->name), parameter) != 0)
				continue;
			set[k] = input_value(x, f, input, unit, false, p->dim, &arguments[k], &of);
			if (!set[k]) {
				*why = arena_print(x->row, "\"%s\" cannot be read for %s", input, parameter);
				return false;
			}
		}
	}
	for (uint32_t k = 0; k < c->formula[formula].n_parameters; k++)
		if (!set[k]) {
			*why = "a parameter of the formula is not given";
			return false;
		}
	result = formula_work_out(c, formula, arguments, &valid);
	*why = "outside what the formula was made for";
	if (valid != TRI_TRUE || result.state != VALUE_KNOWN)
		return false;
	*out = result.r;
	*dim = c->program[c->formula[formula].body].dim;
	return true;
}

/* Sheets write words with low lines between. */
static const char *
spaced(struct exam *x, const char *words)
{
	char *t = arena_text(x->row, words, strlen(words));

	for (char *p = t; *p != '\0'; p++)
		*p = *p == '_' ? ' ' : *p;
	return t;
}

/* All words of the one among those of the other. */
static bool
words_within(struct list few, struct list many)
{
	for (uint32_t i = 0; i < few.n; i++) {
		bool found = false;

		for (uint32_t k = 0; k < many.n && !found; k++)
			found = strcmp(few.item[i], many.item[k]) == 0;
		if (!found)
			return false;
	}
	return few.n > 0;
}

static uint32_t
property_asked(struct exam *x, uint32_t kind, const char *words)
{
	const struct craft *c = x->c;
	uint32_t property = property_find(c, kind, sv(words));
	struct list asked = stems_of(x->stemmer, sv(spaced(x, words)));

	if (property != NONE && c->property[property].type == TYPE_QUANTITY)
		return property;
	for (uint32_t i = 0; i < c->kind[kind].n_properties; i++) {
		uint32_t p = c->kind[kind].first_property + i;

		if (c->property[p].type == TYPE_QUANTITY && words_within(asked,
		    stems_of(x->stemmer, sv(craft_text(c, c->property[p].label)))))
			return p;
	}
	return NONE;
}

/* The cell of a table by words; how many words it has, 0: none. */
static uint32_t
cell_by_words(struct exam *x, const struct table *t, const char *words, range *out)
{
	const struct craft *c = x->c;
	struct list said = stems_of(x->stemmer, sv(words));
	uint32_t most = 0;

	for (uint32_t i = t->first; i < t->first + t->n; i++) {
		uint32_t word = c->word_set[t->word_set].first + (uint32_t)c->point[i].x;
		struct list cell = stems_of(x->stemmer, sv(craft_text(c, c->word[word].name)));

		if (cell.n < most || !words_within(cell, said))
			continue;
		*out = cell.n > most ? c->point[i].y : range_hull(*out, c->point[i].y);
		most = cell.n;
	}
	return most;
}

static bool
by_table(struct exam *x, const char *name, const char *words, struct outcome *o, dimension *dim,
    const char **why)
{
	const struct craft *c = x->c;
	const struct table *t = NULL;
	uint32_t entry[8], n, most;

	for (uint32_t i = 0; i < c->n_table; i++)
		if (strcmp(craft_text(c, c->table[i].name), name) == 0)
			t = &c->table[i];
	*why = arena_print(x->row, "no table \"%s\" by words", name);
	if (t == NULL || !t->by_word)
		return false;
	most = cell_by_words(x, t, words, &o->is);
	n = most > 0 ? 0 : entries_named(x, words, entry, 8);
	for (uint32_t i = 0; i < n && most == 0; i++)
		most = cell_by_words(x, t, craft_text(c, c->entry[entry[i]].name), &o->is);
	*why = arena_print(x->row, "no cell of %s for \"%s\"", name, words);
	*dim = t->to;
	return most > 0;
}

/* KIND.PROPERTY of the entry that an input names. */
static bool
by_entry(struct exam *x, const struct figures *f, const char *what, const char *with,
    struct outcome *o, dimension *dim, const char **why)
{
	const struct craft *c = x->c;
	const char *dot = strchr(what, '.'), *kind;
	const struct entry_record *record;
	uint32_t entry = NONE, property;
	const char *name = spaced(x, filled(x, f, with));

	*why = "the map's line is not KIND.PROPERTY";
	if (dot == NULL)
		return false;
	kind = arena_text(x->row, what, (size_t)(dot - what));
	entry = kb_entry_find(c, sv(name), kind);
	*why = arena_print(x->row, "no %s called \"%s\"", kind, name);
	if (entry == NONE)
		return false;
	property = property_asked(x, c->entry_kind[c->entry[entry].kind].object_kind, dot + 1);
	record = kb_entry(x->kb, entry);
	*why = arena_print(x->row, "%s of %s is not known", dot + 1, name);
	for (uint32_t i = 0; i < record->n_typicals; i++) {
		const struct typical *t = &record->typicals[i];

		if (t->property != property || t->usual.state != VALUE_KNOWN ||
		    c->property[property].type != TYPE_QUANTITY)
			continue;
		o->is = t->usual.r;
		for (uint32_t k = 0; k < t->n_figures && o->n_other < 8; k++)
			o->other[o->n_other++] = record->figures[t->first_figure + k].value.r;
		*dim = c->property[property].dim;
		return true;
	}
	return false;
}

/* The starting choice for a setting where the words describe the work, with the
 * neighbours shown beside it; the whole band advised may be too wide to say
 * anything. */
static bool
by_advice(struct exam *x, const char *setting, const char *words, struct outcome *o, dimension *dim,
    const char **why)
{
	const struct craft *c = x->c;
	uint32_t s = setting_find(c, sv(setting));
	const struct choice *k;
	struct judged j;

	*why = arena_print(x->row, "no setting \"%s\"", setting);
	if (s == NONE || c->property[c->setting[s].property].type != TYPE_QUANTITY)
		return false;
	*why = arena_print(x->row, "no %s for \"%s\"", setting, words);
	if (!judge_words(x, words, &j))
		return false;
	k = advise_for(j.advised, j.model, s, j.project, NULL);
	if (k == NULL || k->start.state != VALUE_KNOWN || j.project->n_things == 0)
		return false;
	o->is = k->start.r;
	if (k->lighter.state == VALUE_KNOWN)
		o->is = range_hull(o->is, k->lighter.r);
	if (k->heavier.state == VALUE_KNOWN)
		o->is = range_hull(o->is, k->heavier.r);
	*dim = c->property[c->setting[s].property].dim;
	return true;
}

static bool
by_class(struct exam *x, const char *what, const char *word, struct outcome *o, dimension *dim,
    const char **why)
{
	const struct craft *c = x->c;
	const struct name *name;
	uint32_t n = kb_names(c, sv(text_fold(x->row, sv(word))), &name);
	const char *dot = strchr(what, '.');
	uint32_t kind = dot != NULL ? kind_find(c, (strview){what, (size_t)(dot - what)}) : NONE;
	uint32_t property = kind != NONE ? property_find(c, kind, sv(dot + 1)) : NONE;

	*why = arena_print(x->row, "no class \"%s\"", word);
	for (uint32_t i = 0; i < n && property != NONE; i++) {
		const struct phrase *f = &c->phrase[name[i].id];

		if (name[i].target != NAME_PHRASE || f->does != PHRASE_CLASS || f->property != property)
			continue;
		o->is = f->quantity;
		*dim = c->property[property].dim;
		return true;
	}
	return false;
}

static struct outcome
work_line(struct exam *x, const struct figures *f, const struct sheet *map, uint32_t r)
{
	struct outcome o = {.why = "nothing here answers it"};
	const char *how, *with, *what, *end;
	dimension dim = {0};
	bool ok;
	int u;

	how = sheet_cell(map, r, "how");
	with = sheet_cell(map, r, "with");
	what = filled(x, f, sheet_cell(map, r, "what"));
	end = sheet_cell(map, r, "end");
	if (strcmp(how, "convert") == 0)
		o.offered = by_unit(x, f, with, &o.is, &dim, &o.why);
	else if (strcmp(how, "formula") == 0)
		o.offered = by_formula(x, f, hyphened(x, what), with, &o.is, &dim, &o.why);
	else if (strcmp(how, "property") == 0)
		o.offered = by_entry(x, f, what, with, &o, &dim, &o.why);
	else if (strcmp(how, "advice") == 0)
		o.offered = by_advice(x, what, spaced(x, filled(x, f, with)), &o, &dim, &o.why);
	else if (strcmp(how, "table") == 0)
		o.offered = by_table(x, hyphened(x, what), spaced(x, filled(x, f, with)), &o, &dim,
		    &o.why);
	else if (strcmp(how, "class") == 0)
		o.offered = by_class(x, what, spaced(x, filled(x, f, with)), &o, &dim, &o.why);
	else
		o.why = "the map's line says no way that is known";
	if (!o.offered)
		return o;
	u = unit_written(x, sheet_cell(map, r, "gives"), dim);
	if (u < 0) {
		o.offered = false;
		o.why = arena_print(x->row, "no unit \"%s\" of that dimension", sheet_cell(map, r, "gives"));
		return o;
	}
	o.is = unit_range_from_base(&x->c->units->u[u], o.is, &ok);
	o.offered = ok;
	for (uint32_t i = 0; i < o.n_other; i++)
		o.other[i] = unit_range_from_base(&x->c->units->u[u], o.other[i], &ok);
	if (strcmp(end, "low") == 0)
		o.is.hi = o.is.lo;
	if (strcmp(end, "high") == 0)
		o.is.lo = o.is.hi;
	return o;
}

struct outcome
work_out(struct exam *x, const struct figures *f, const struct sheet *map)
{
	struct outcome first = {.why = "nothing here answers it"};
	bool any = false;

	for (uint32_t r = 0; r < map->n_rows; r++) {
		struct outcome o;

		if (!line_fits(x, f, map, r))
			continue;
		if (first.offered && strcmp(sheet_cell(map, r, "how"), "table") != 0)
			continue;
		o = work_line(x, f, map, r);
		if (first.offered && o.offered && first.n_other < 8)
			first.other[first.n_other++] = o.is;
		if (any && (first.offered || !o.offered))
			continue;
		first = o;
		any = true;
	}
	return first;
}

/* ---- right or not -------------------------------------------------------------------- */

bool
figure_agrees(const struct figures *f, double ours)
{
	strview e = sv_trim(sv(f->expected)), t = sv_trim(sv(f->tolerance));
	double expected, tolerance, scale = 1, hair;
	size_t used;
	bool minus = e.n > 0 && e.p[0] == '-';
	const char *point;

	if (minus)
		e.p++, e.n--;
	if (!number_read(e, &used, &expected) || used != e.n)
		return false;
	expected = minus ? -expected : expected;
	/* tolerances are written with an exponent too: "1e-06" */
	if (!number_read(t, &used, &tolerance))
		return false;
	if (used < t.n && t.p[used] == 'e') {
		strview power = {t.p + used + 1, t.n - used - 1};
		bool down = power.n > 0 && power.p[0] == '-';
		double n;

		if (down)
			power.p++, power.n--;
		if (!number_read(power, &used, &n))
			return false;
		for (int i = 0; i < (int)n; i++)
			tolerance = down ? tolerance / 10 : tolerance * 10;
	}
	hair = 1e-9 * (fabs(expected) > 1 ? fabs(expected) : 1);
	if (tolerance > 0)
		return fabs(ours - expected) <= tolerance * (1 + 1e-9) + 1e-12;
	point = memchr(e.p, '.', e.n);
	for (size_t i = 0; point != NULL && i < (size_t)(e.p + e.n - point - 1); i++)
		scale *= 10;
	return fabs(floor(ours * scale + 0.5 + hair) / scale - expected) <= hair;
}

bool
figure_within(const struct figures *f, const struct outcome *o)
{
	double expected;
	size_t used;
	strview e = sv_trim(sv(f->expected));

	if (!number_read(e, &used, &expected) || used != e.n)
		return false;
	if (o->is.lo <= expected * (1 + 1e-9) && expected * (1 - 1e-9) <= o->is.hi)
		return true;
	for (uint32_t i = 0; i < o->n_other; i++)
		if (o->other[i].lo <= expected * (1 + 1e-9) && expected * (1 - 1e-9) <= o->other[i].hi)
			return true;
	return range_is_exact(o->is) && figure_agrees(f, o->is.lo);
}
