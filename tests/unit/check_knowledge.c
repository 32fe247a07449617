/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The knowledge room: what is compiled is what was written, what is wrong is
 * said with its name and line, and no file, however damaged, does more than be
 * refused.  The small base in tests/unit/kb-small is invented.
 */
#include "knowledge/knowledge.h"

#include <check.h>
#include <fcntl.h>
#include <math.h>
#include <sqlite3.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#define COUNT(t) (sizeof(t) / sizeof *(t))
#define KB "tests/unit/kb-small/kb"
#define RULES "tests/unit/kb-small/rules"

static struct arena *arena;
static struct diags diags;
static char folder[256];
static struct knowledge *kb;
static const struct craft *craft;

/* ---- files of a test ----------------------------- */

static const char *
in_folder(const char *name)
{
	return arena_print(arena, "%s/%s", folder, name);
}

static void
write_bytes(const char *path, const char *p, size_t n)
{
	FILE *f = fopen(path, "wb");

	ck_assert_ptr_nonnull(f);
	ck_assert_uint_eq(fwrite(p, 1, n, f), n);
	ck_assert_int_eq(fclose(f), 0);
}

static strview
read_bytes(const char *path)
{
	strview v;

	ck_assert_msg(file_read(arena, path, 1 << 26, &v, &diags), "%s", path);
	return v;
}

static void
new_folder(void)
{
	const char *build = getenv("B");

	snprintf(folder, sizeof folder, "%s/check-knowledge-XXXXXX", build != NULL ? build : "build");
	ck_assert_ptr_nonnull(mkdtemp(folder));
	arena = arena_new();
	diags_init(&diags, arena);
}

static void
drop_folder(void)
{
	char *clean = arena_print(arena, "rm -rf '%s'", folder);

	ck_assert_int_eq(system(clean), 0);
	arena_free(arena);
}

static const char *
complaints(void)
{
	struct buf b = {0};
	const char *t;

	diags_print(&b, &diags, false);
	t = arena_text(arena, b.p, b.n);
	buf_free(&b);
	return t;
}

static void
compiled(void)
{
	const char *why = "";

	new_folder();
	ck_assert_msg(kb_compile(KB, RULES, in_folder("small.db"), &diags), "%.2000s",
	    complaints());
	kb = kb_open(in_folder("small.db"), &why);
	ck_assert_msg(kb != NULL, "%s", why);
	craft = kb_craft(kb);
}

static void
closed(void)
{
	kb_close(kb);
	drop_folder();
}

/* ---- by name ----------------------------- */

static uint32_t
entry_named(const char *kind, const char *name)
{
	for (uint32_t i = 0; i < craft->n_entry; i++)
		if (strcmp(craft_text(craft, craft->entry[i].name), name) == 0 &&
		    strcmp(craft_text(craft, craft->entry_kind[craft->entry[i].kind].name),
		    kind) == 0)
			return i;
	ck_abort_msg("no %s %s", kind, name);
	return NONE;
}

static uint32_t
property_of(const char *kind, const char *name)
{
	uint32_t p = property_find(craft, kind_find(craft, sv(kind)), sv(name));

	ck_assert_msg(p != NONE, "%s.%s", kind, name);
	return p;
}

static const struct typical *
typical_of(const struct entry_record *r, uint32_t property)
{
	for (uint32_t i = 0; i < r->n_typicals; i++)
		if (r->typicals[i].property == property)
			return &r->typicals[i];
	ck_abort_msg("no value of property %u", (unsigned)property);
	return NULL;
}

static const char *
source_id(uint32_t source)
{
	return craft_text(craft, craft->source[source].id);
}

#define ck_near(a, b) ck_assert_msg( \
    fabs((a) - (b)) <= 1e-9 * fabs((double)(b)), "%.15g, not %.15g", \
    (double)(a), (double)(b))

/* ---- what was compiled ----------------------------- */

START_TEST(units_and_ranges)
{
	int flue = unit_find(craft->units, SV("flue mark")), tex = unit_find(craft->units,
	    SV("tex"));
	double base;

	/* mm is defined by a unit further down. */
	ck_assert(unit_to_base(&craft->units->u[unit_find(craft->units, SV("millimetres"))], 3,
	    &base));
	ck_near(base, 0.003);
	ck_assert(unit_to_base(&craft->units->u[flue], 2, &base));
	ck_near(base, 423.15);
	ck_assert(craft->units->u[tex].before && craft->units->u[tex].after);
	ck_assert_uint_ne(craft->units->u[tex].numbering,
	    craft->units->u[unit_find(craft->units, SV("knots"))].numbering);
	ck_assert_str_eq(craft->range_words->about[1], "roughly");
	ck_assert_ptr_null(craft->range_words->about[2]);
	ck_assert_str_eq(craft->range_words->and_[0], "and");
}
END_TEST

START_TEST(schema_as_written)
{
	const struct property *weight = &craft->property[property_of("component", "weight")];
	const struct property *heat = &craft->property[property_of("component", "heat-limit")];
	const struct property *size = &craft->property[property_of("component", "size")];
	const struct setting *needle = &craft->setting[setting_find(craft, SV("needle.size"))];
	const struct word_set *seams = &craft->word_set[set_find(craft, SV("seam"))];

	ck_assert_str_eq(craft_text(craft, craft->word_set[0].name), "yes-no");
	ck_near(weight->step, 0.005);
	ck_near(weight->domain.hi, 3);
	ck_near(weight->about, 0.1);
	ck_assert_uint_eq(weight->flags, PROPERTY_OWN);
	ck_near(heat->step, 10);                       /* a difference: no offset */
	ck_near(heat->domain.lo, 293.15);
	ck_assert_uint_eq(size->roles, 1u << word_find(craft, set_find(craft, SV("role")),
	    SV("thread")));
	ck_assert_uint_eq(needle->n_obtainable, 7);
	ck_near(craft->obtainable[needle->first_obtainable + 6], 0.0012);
	ck_assert_str_eq(craft_text(craft, needle->lighter), "a finer needle");
	ck_assert_uint_ne(needle->applies, NONE);
	ck_assert_uint_eq(craft->setting[setting_find(craft, SV("suits"))].chosen, 0);
	ck_assert_uint_eq(craft->setting[setting_find(craft, SV("thread.size"))].n_also, 1);
	ck_assert_uint_ne(craft->property[needle->property].flags & PROPERTY_SETTING, 0);
	ck_assert_uint_eq(seams->n, 2);
	ck_assert_uint_eq(craft->word[seams->first].entry, entry_named("seam type", "plain seam"));
	ck_assert_uint_eq(craft->n_role_note, 2);
	ck_assert(craft->kind[kind_find(craft, SV("garment"))].singleton);
	ck_assert(craft->kind[kind_find(craft, SV("component"))].usual);
	ck_assert(property_depends(craft, property_of("operation", "needle.reach"),
	    property_of("operation", "needle.size")));
}
END_TEST

START_TEST(values_of_an_entry)
{
	const struct entry_record *r = kb_entry(kb, entry_named("fabric", "towpath drill"));
	const struct typical *w = typical_of(r, property_of("component", "weight"));
	const struct typical *ravel = typical_of(r, property_of("component", "ravel"));
	const struct typical *heat = typical_of(r, property_of("component", "heat-limit"));

	ck_near(w->usual.r.lo, 0.240);
	ck_near(w->usual.r.hi, 0.280);
	ck_near(w->seen.r.lo, 0.220);
	ck_near(w->seen.r.hi, 0.300);
	ck_assert_str_eq(source_id(w->basis_low), "barge-tables");
	ck_assert_str_eq(source_id(w->basis_high), "weir-notes");
	ck_assert_uint_eq(w->n_figures, 2);
	ck_assert_str_eq(source_id(r->figures[w->first_figure + 1].source), "weir-notes");
	ck_near(r->figures[w->first_figure + 1].value.r.lo, 0.250);
	ck_assert_str_eq(w->note, "Loom state.");
	/* slight to moderate, on the scale none, slight, moderate, strong */
	ck_assert_uint_eq(ravel->usual.set[0], 6);
	ck_assert_uint_eq(ravel->seen.state, VALUE_ABSENT);
	ck_assert_str_eq(source_id(ravel->basis_low), "practice");
	ck_near(heat->usual.r.lo, 473.15);
	ck_assert_str_eq(source_id(heat->basis_low), "memory");
	ck_assert_uint_eq(r->n_texts, 1);
	ck_assert_str_eq(r->texts[0].key, "handling");
	ck_assert_uint_eq(r->n_links, 2);
	ck_assert_str_eq(r->links[1].how, "suits");
	ck_assert_uint_eq(r->links[1].entry, entry_named("garment", "lock-keeper's coat"));
	ck_assert_ptr_eq(r, kb_entry(kb, entry_named("fabric", "towpath drill")));
}
END_TEST

START_TEST(words_joined)
{
	const struct entry_record *r = kb_entry(kb, entry_named("fabric", "sluice-gate cloth"));
	const struct typical *w = typical_of(r, property_of("component", "weight"));

	ck_assert_uint_eq(typical_of(r, property_of("component", "structure"))->usual.set[0],
	    1 | 4);
	ck_assert_uint_eq(typical_of(r, property_of("component", "ravel"))->usual.set[0], 1 | 8);
	ck_near(w->usual.r.lo, 0.360);
	ck_near(w->usual.r.hi, 0.440);
}
END_TEST

static const struct bring_set *
set_of(const struct bring *b, const char *kind, const char *property)
{
	for (uint32_t i = 0; i < b->n_set; i++)
		if (b->set[i].property == property_of(kind, property))
			return &b->set[i];
	ck_abort_msg("%s.%s is not set", kind, property);
	return NULL;
}

START_TEST(what_a_feature_brings)
{
	const struct entry_record *r = kb_entry(kb, entry_named("feature", "tiller pocket"));
	const struct bring *bag = &r->brings[0], *hem = &r->brings[1], *top = &r->brings[2];
	const struct bring *edge = &r->brings[4];
	const struct bring_set *s;

	ck_assert_uint_eq(r->n_brings, 6);
	ck_assert_uint_ne(bag->when, NONE);
	ck_assert_str_eq(craft_text(craft, craft->program[bag->when].written),
	    "garment.lined = yes");
	s = set_of(bag, "piece", "component");
	ck_assert_uint_eq(s->how, BRING_ROLE);
	ck_assert_uint_eq(s->role, word_find(craft, set_find(craft, SV("role")), SV("lining")));
	s = set_of(bag, "piece", "width");
	ck_assert_uint_eq(s->how, BRING_PROGRAM);
	ck_assert_str_eq(craft_text(craft, craft->program[s->program].written),
	    "feature.width + 2 * feature.allowance");
	ck_assert_uint_eq(hem->entry, entry_named("operation", "hem"));
	s = set_of(hem, "operation", "stack");         /* a later item */
	ck_assert_uint_eq(s->how, BRING_LOCAL);
	ck_assert_uint_eq(s->local, 3);
	ck_assert_uint_eq(top->n_after, 1);
	ck_assert_uint_eq(top->after[0], 1);
	s = set_of(top, "operation", "distance");
	ck_assert_uint_eq(s->how, BRING_VALUE);
	ck_near(r->bring_values[s->typical].usual.r.hi, 0.006);
	ck_assert_str_eq(source_id(r->bring_values[s->typical].basis_low), "weir-notes");
	ck_assert_uint_eq(r->bring_values[set_of(top, "operation",
	    "seam.kind")->typical].usual.set[0], 3);
	ck_assert_uint_eq(edge->parent, 3);
	ck_assert_uint_eq(edge->parent_property, property_of("layer", "stack"));
	ck_assert_uint_eq(edge->entry, NONE);
	ck_assert_str_eq(edge->name, "turned edge");
	ck_assert(!edge->main &&
	    kb_entry(kb, entry_named("garment", "lock-keeper's coat"))->brings[1].main);
}
END_TEST

START_TEST(figures_and_worked_examples)
{
	const struct worked *w;
	const struct loose *l;
	uint32_t n = kb_worked(kb, &w);

	ck_assert_uint_eq(n, 3);
	ck_assert_str_eq(craft_text(craft, craft->formula[w[0].formula].name), "thickness-of");
	ck_near(w[0].with[0].lo, 0.2);
	ck_near(w[0].gives.lo, 0.0005);
	ck_near(w[0].within, 0.00001);
	ck_near(w[1].with[0].hi, 0.2);
	ck_assert_str_eq(source_id(w[1].source), "weir-notes");
	ck_near(w[2].gives.lo, 293.15);
	ck_near(w[2].within, 2);                       /* a tolerance is a difference */
	ck_assert_str_eq(craft_text(craft, w[0].file), KB "/entries.yaml");
	ck_assert_uint_eq(w[0].line, 16);
	n = kb_loose(kb, &l);
	ck_assert_uint_eq(n, 2);
	ck_assert_str_eq(l[0].owner, "constant loft");
	ck_assert_str_eq(l[1].owner, "rule thread-crowds-the-needle");
	ck_assert_str_eq(l[1].number, "9");
	/* Cells are sorted, whatever their order in the file. */
	for (uint32_t i = 0; i < craft->n_table; i++)
		for (uint32_t k = 1; k < craft->table[i].n; k++)
			ck_assert(craft->point[craft->table[i].first + k].x >
			    craft->point[craft->table[i].first + k - 1].x);
	ck_assert(craft->table[1].by_word && craft->table[1].steps);
	ck_near(craft->point[craft->table[1].first + 1].y.lo, 0.012);
}
END_TEST

START_TEST(rules_advice_and_messages)
{
	const struct rule *r = &craft->rule[0];
	const struct advice *a = &craft->advice[1];
	const struct user_message *m = &craft->user_message[message_find(craft, "check.assumed")];

	ck_assert_uint_eq(r->degree, DEGREE_GRAVE);
	ck_assert_uint_eq(r->n_touches, 2);
	ck_assert_uint_eq(r->touches[1], setting_find(craft, SV("thread.size")));
	ck_assert_uint_eq(r->n_sources, 2);
	ck_assert_str_eq(source_id(craft->cited[r->first_source + 1]), "practice");
	ck_assert_uint_eq(r->n_examples, 3);
	ck_assert_uint_eq(craft->example[r->first_example + 2].kind, EXAMPLE_UNDECIDED);
	ck_assert_uint_eq(craft->example[r->first_example + 2].by_tool, 1);
	ck_assert_uint_eq(r->line, 2);
	ck_assert_uint_eq(r->say.n, 2);
	ck_assert_str_eq(craft_text(craft, craft->part[r->say.first + 1].literal),
	    " is too thick for ");
	/* Words in braces without quotes are a map to YAML, and a choice to us. */
	ck_assert_uint_eq(a->n_choices, 2);
	ck_assert_uint_eq(craft->choice[a->first_choice], 1);
	ck_assert_uint_eq(a->strength, STRENGTH_LEANING);
	ck_assert_uint_eq(craft->example[a->first_example + 1].kind, EXAMPLE_GIVES_NOT);
	ck_assert_uint_ne(craft->advice[0].best, NONE);
	ck_assert_uint_eq(m->text.n, 4);
	ck_assert_str_eq(craft_text(craft, m->slots), "what value basis");
	ck_assert_str_eq(craft_text(craft, craft->part[m->text.first + 1].literal), " taken as ");
	ck_assert_uint_eq(craft->user_message[message_find(craft, "plain")].text.n, 1);
}
END_TEST

START_TEST(phrases_as_written)
{
	const struct name *first;
	const struct phrase *p;

	ck_assert_uint_eq(kb_names(craft, SV("lightweight"), &first), 1);
	ck_assert_uint_eq(first->target, NAME_PHRASE);
	p = &craft->phrase[first->id];
	ck_assert_uint_eq(p->does, PHRASE_CLASS);
	ck_assert_uint_eq(p->property, property_of("component", "weight"));
	ck_near(p->fraction_hi, 1.0 / 3);
	ck_near(p->quantity.hi, 0.15);
	ck_assert_str_eq(source_id(p->source), "weir-notes");
	ck_assert_uint_eq(kb_names(craft, SV("unlined"), &first), 1);
	p = &craft->phrase[first->id];
	ck_assert_uint_eq(p->does, PHRASE_SET);
	ck_assert_uint_eq(p->set[0], 1);               /* no */
	ck_assert_uint_eq(kb_names(craft, SV("which needle"), &first), 1);
	ck_assert_uint_eq(craft->phrase[first->id].does, PHRASE_ASK);
	ck_assert_uint_eq(craft->phrase[first->id].entry, setting_find(craft, SV("needle.size")));
}
END_TEST

/* ---- names ----------------------------- */

static const struct {
	const char *written;
	uint8_t target, inflected;
	const char *kind, *entry;          /* NAME_ENTRY */
} names[] = {
	{"towpath drill", NAME_ENTRY, 0, "fabric", "towpath drill"},
	{"drill", NAME_ENTRY, 0, "fabric", "towpath drill"},
	{"drills", NAME_ENTRY, 1, "fabric", "towpath drill"},
	{"canal twill", NAME_ENTRY, 0, "fabric", "towpath drill"},
	{"sluice gate cloth", NAME_ENTRY, 0, "fabric", "sluice-gate cloth"},
	{"sluice-gate cloth", NAME_ENTRY, 0, "fabric", "sluice-gate cloth"},
	{"sluice-gate-cloth", NAME_ENTRY, 0, "fabric", "sluice-gate cloth"},
	{"tiller pockets", NAME_ENTRY, 1, "feature", "tiller pocket"},
	{"hemmed", NAME_ENTRY, 1, "operation", "hem"},
	{"hemming", NAME_ENTRY, 1, "operation", "hem"},
	{"topstitches", NAME_ENTRY, 1, "operation", "topstitch"},
	{"topstitched", NAME_ENTRY, 1, "operation", "topstitch"},
	{"joining", NAME_ENTRY, 1, "operation", "join"},
	{"felled seams", NAME_ENTRY, 1, "seam type", "bargee's seam"},
	{"woven", NAME_WORD, 0, NULL, NULL},
	{"knitted", NAME_WORD, 1, NULL, NULL},
	{"nets", NAME_WORD, 1, NULL, NULL},
	{"fraying", NAME_PROPERTY, 0, NULL, NULL},
	{"seam", NAME_SETTING, 0, NULL, NULL},
	{"g/m2", NAME_UNIT, 0, NULL, NULL},
	{"the", NAME_STOP, 0, NULL, NULL},
	{"pieces", NAME_KIND, 0, NULL, NULL},
};

START_TEST(name_found)
{
	const struct name *first;
	uint32_t n = kb_names(craft, sv(names[_i].written), &first);

	ck_assert_msg(n >= 1, "%s", names[_i].written);
	ck_assert_uint_eq(first->target, names[_i].target);
	ck_assert_uint_eq(first->inflected, names[_i].inflected);
	if (names[_i].entry != NULL)
		ck_assert_uint_eq(first->id, entry_named(names[_i].kind, names[_i].entry));
}
END_TEST

START_TEST(names_not_there)
{
	static const char *const none[] = {"", " ", "towpath", "towpath dril", "yes", "us",
	    "drillss", "zzz", "drilled", "moderates"};
	const struct name *first;

	for (size_t i = 0; i < COUNT(none); i++)
		ck_assert_msg(kb_names(craft, sv(none[i]), &first) == 0, "%s", none[i]);
}
END_TEST

START_TEST(names_and_their_region)
{
	const struct name *first;
	uint32_t region = set_find(craft, SV("region"));

	/* One word, two cloths: the region tells them apart. */
	ck_assert_uint_eq(kb_names(craft, SV("canal twill"), &first), 2);
	ck_assert_uint_eq(first[0].region, word_find(craft, region, SV("us")));
	ck_assert_uint_eq(first[0].id, entry_named("fabric", "towpath drill"));
	ck_assert_uint_eq(first[1].region, word_find(craft, region, SV("uk")));
	ck_assert_uint_eq(first[1].id, entry_named("fabric", "heron net"));
	ck_assert_uint_eq(kb_names(craft, SV("drill"), &first), 1);
	ck_assert_uint_eq(first->region, NO16);
	ck_assert_uint_eq(kb_names(craft, SV("towpth drill"), &first), 1);
	ck_assert_uint_eq(first->region, word_find(craft, region, SV("slip")));
}
END_TEST

START_TEST(entries_by_name)
{
	uint32_t drill = entry_named("fabric", "towpath drill"), gate = entry_named("fabric",
	    "sluice-gate cloth");

	ck_assert_uint_eq(kb_entry_find(craft, SV("Waxed  Bow-Thread"), NULL),
	    entry_named("thread", "bow thread"));
	ck_assert_uint_eq(kb_entry_find(craft, SV("drills"), "fabrics"), drill);
	ck_assert_uint_eq(kb_entry_find(craft, SV("drill"), "component"), drill);
	ck_assert_uint_eq(kb_entry_find(craft, SV("drill"), "feature"), NONE);
	ck_assert_uint_eq(kb_entry_find(craft, SV("heron"), NULL),
	    NONE);     /* a thread and a term */
	ck_assert_uint_eq(kb_entry_find(craft, SV("canal twill"), NULL), NONE);
	ck_assert_uint_eq(kb_entry_find(craft, SV("heron"), "thread"),
	    entry_named("thread", "heron"));
	ck_assert_uint_eq(kb_entry_find(craft, SV("Lock-Keeper\u2019s Coat"), NULL),
	    entry_named("garment", "lock-keeper's coat"));
	ck_assert(kb_entry_is(craft, gate, drill) && kb_entry_is(craft, gate, gate));
	ck_assert(!kb_entry_is(craft, drill, gate) && !kb_entry_is(craft, NONE, drill));
	ck_assert_uint_eq(kb_word_of(craft, set_find(craft, SV("seam")), entry_named("seam type",
	    "bargee's seam")), 1);
}
END_TEST

START_TEST(near_names)
{
	struct near near = {0};

	ck_assert_uint_ge(kb_names_near(craft, SV("towpaht drill"), &near), 1);
	ck_assert_str_eq(near.name[0], "towpath drill");
	near = (struct near){0};
	ck_assert_uint_eq(kb_names_near(craft, SV("zzzzzzzz"), &near), 0);
}
END_TEST

/* ---- search ----------------------------- */

static const struct { const char *words, *kind, *first; } searches[] = {
	{"drill", NULL, "towpath drill"},
	{"Drills", NULL, "towpath drill"},
	{"sluice-gate cloth", NULL, "sluice-gate cloth"},
	{"which needle for canal twill", NULL, "towpath drill"},
	{"tiller rope", NULL, "tiller pocket"},
	{"brushing the ribs", NULL, "towpath drill"},          /* stemmed, in a paragraph */
	{"outdo", NULL, "towpath drill"},                      /* the beginning of a word */
	{"towpaht drill", NULL, "towpath drill"},              /* a slip */
	{"towpaht dril", NULL, "towpath drill"},
	{"how to sew a bargees seem", NULL, "bargee's seam"},
	{"waxed sluice-gate clot", "thread", "bow thread"},
	{"heron", "terms", "heron"},
	{"bird", "fabric", NULL},
	{"the", NULL, NULL},
	{"zzzz", NULL, NULL},
};

START_TEST(search_finds)
{
	struct hit hit[5];
	uint32_t n = kb_search(kb, arena, sv(searches[_i].words), searches[_i].kind, hit,
	    COUNT(hit));

	if (searches[_i].first == NULL) {
		ck_assert_uint_eq(n, 0);
		return;
	}
	ck_assert_msg(n >= 1, "%s", searches[_i].words);
	ck_assert_str_eq(craft_text(craft, craft->entry[hit[0].entry].name), searches[_i].first);
	for (uint32_t i = 1; i < n; i++)
		ck_assert(hit[i].score <= hit[i - 1].score);
}
END_TEST

/* Words that are syntax to the full-text engine are only words here: they
 * neither fail nor find anything but texts that hold them. */
static const char *const hostile[] = {
	"100/16", "pre-shrunk", "5/8\"", "what's", "AND", "OR NOT", "(", ")", "*", "\"", "\"\"",
	"^drill", "-name:heron",
	"name:heron", "NEAR(a b,2)", "{says}: heron", "heron*", "her* + on",
	"'; DROP TABLE entry; --", "\xff\xfe", "\x01",
	"a b c d e f g h i j k l m n o p q r s t u v w x y z a b c d e f g h i j k l m n o p q r s t u v w x y z",
	"xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx",
};

START_TEST(search_takes_anything)
{
	struct hit hit[50];
	uint32_t n = kb_search(kb, arena, sv(hostile[_i]), NULL, hit, COUNT(hit));

	for (uint32_t i = 0; i < n; i++)
		ck_assert_uint_lt(hit[i].entry, craft->n_entry);
	/* The handle is sound afterwards. */
	ck_assert_uint_ge(kb_search(kb, arena, SV("tiller rope"), NULL, hit, COUNT(hit)), 1);
	ck_assert_str_eq(craft_text(craft, craft->entry[hit[0].entry].name), "tiller pocket");
}
END_TEST

START_TEST(search_column_names_are_words)
{
	struct hit hit[5];

	/* To the engine this would ask one column; no text holds "says". */
	ck_assert_uint_eq(kb_search(kb, arena, SV("\"says\":\"zzzz\""), NULL, hit, COUNT(hit)), 0);
	ck_assert_uint_eq(kb_search(kb, arena, SV("tiller NOT rope"), NULL, hit, COUNT(hit)) > 0,
	    true);
	ck_assert_str_eq(craft_text(craft, craft->entry[hit[0].entry].name), "tiller pocket");
}
END_TEST

/* ---- the file ----------------------------- */

START_TEST(same_text_same_bytes)
{
	strview a, b;

	ck_assert(kb_compile(KB, RULES, in_folder("again.db"), &diags));
	a = read_bytes(in_folder("small.db"));
	b = read_bytes(in_folder("again.db"));
	ck_assert_uint_eq(a.n, b.n);
	ck_assert_int_eq(memcmp(a.p, b.p, a.n), 0);
}
END_TEST

START_TEST(version_follows_content)
{
	const char *why;
	struct knowledge *other;

	ck_assert_uint_eq(strlen(kb_version(kb)), 16);
	ck_assert_int_eq(mkdir(in_folder("rules"), 0755), 0);
	write_bytes(in_folder("rules/x.yaml"), "terms:\n  - {term: weir, says: A low dam.}\n", 41);
	ck_assert_msg(kb_compile(KB, in_folder("rules"), in_folder("other.db"), &diags), "%s",
	    complaints());
	other = kb_open(in_folder("other.db"), &why);
	ck_assert_ptr_nonnull(other);
	ck_assert_str_ne(kb_version(other), kb_version(kb));
	/* Two handles at once, each with its own entries. */
	ck_assert_uint_eq(kb_craft(other)->n_entry, craft->n_entry + 1);
	ck_assert_uint_eq(kb_craft(other)->n_rule, 0);
	kb_close(other);
}
END_TEST

START_TEST(odd_paths)
{
	static const char *const odd[] = {"a b.db", "what?.db", "no#1.db", "100%.db", "100%41.db",
	"k\u00e4se.db", "a&mode=rw.db"};
	strview bytes = read_bytes(in_folder("small.db"));

	for (size_t i = 0; i < COUNT(odd); i++) {
		const char *why = "";
		struct knowledge *k;

		write_bytes(in_folder(odd[i]), bytes.p, bytes.n);
		k = kb_open(in_folder(odd[i]), &why);
		ck_assert_msg(k != NULL, "%s: %s", odd[i], why);
		kb_close(k);
	}
}
END_TEST

/* ---- what cannot be opened ----------------------------- */

static void
refused(const char *path, const char *part)
{
	const char *why = NULL;
	struct knowledge *k = kb_open(path, &why);

	ck_assert_msg(k == NULL, "%s was opened", path);
	ck_assert_ptr_nonnull(why);
	ck_assert_msg(strstr(why, part) != NULL, "%s: \"%s\" does not speak of \"%s\"", path, why,
	    part);
}

static void
foreign(const char *path, const char *sql)
{
	sqlite3 *db;

	ck_assert_int_eq(sqlite3_open(path, &db), SQLITE_OK);
	ck_assert_int_eq(sqlite3_exec(db, sql, NULL, NULL, NULL), SQLITE_OK);
	sqlite3_close(db);
}

START_TEST(not_a_database)
{
	char link[300];
	static char copy[65536];
	strview bytes;

	refused(in_folder("missing.db"), "no such file");
	refused(in_folder("no/such/folder.db"), "no such file");
	refused("", "no such file");
	refused(folder, "folder");
	refused("/dev/null", "no regular file");
	write_bytes(in_folder("empty"), "", 0);
	refused(in_folder("empty"), "empty");
	write_bytes(in_folder("text"), "a letter to the lock-keeper, not a database at all\n", 51);
	refused(in_folder("text"), "no database");
	foreign(in_folder("foreign"), "CREATE TABLE t (x); INSERT INTO t VALUES (1)");
	refused(in_folder("foreign"), "another program");
	foreign(in_folder("hollow"), "PRAGMA application_id = 1651467371; PRAGMA user_version = 4;"
	    " CREATE TABLE t (x)");
	refused(in_folder("hollow"), "damaged");
	/* pages of ours with something else behind them */
	bytes = read_bytes(in_folder("hollow"));
	memcpy(copy, bytes.p, bytes.n < sizeof copy ? bytes.n : sizeof copy);
	write_bytes(in_folder("odd"), copy, bytes.n + 200);
	refused(in_folder("odd"), "damaged");
	foreign(in_folder("old"), "PRAGMA application_id = 1651467371; PRAGMA user_version = 99;"
	    " CREATE TABLE t (x)");
	refused(in_folder("old"), "version");
	snprintf(link, sizeof link, "%s", in_folder("link"));
	ck_assert_int_eq(symlink("small.db", link), 0);
	refused(link, "link");
}
END_TEST

/* Everything a program does with a handle; its own process, so that a crash is
 * seen and a breakdown with a message is not one. */
static int
used_apart(const char *path)
{
	int status = 0;
	pid_t child = fork();

	ck_assert_int_ge(child, 0);
	if (child == 0) {
		const char *why = NULL;
		int quiet = open("/dev/null", O_WRONLY);
		struct knowledge *k;
		const struct worked *w;
		const struct loose *l;
		struct hit hit[20];

		dup2(quiet, 2);
		alarm(20);
		k = kb_open(path, &why);
		if (k == NULL)
			_exit(why != NULL && why[0] != '\0' ? 10 : 11);
		for (uint32_t i = 0; i < kb_craft(k)->n_entry; i++)
			kb_entry(k, i);
		kb_worked(k, &w);
		kb_loose(k, &l);
		kb_search(k, arena, SV("tiller rope drill zzz"), NULL, hit, COUNT(hit));
		kb_close(k);
		_exit(0);
	}
	ck_assert_int_eq(waitpid(child, &status, 0), child);
	ck_assert_msg(WIFEXITED(status), "ended by signal %d", WTERMSIG(status));
	return WEXITSTATUS(status);
}

static void
harmless(int status, const char *what, size_t at)
{
	/* Refused with a reason, ended with a message, or not touched at all. */
	ck_assert_msg(status == 10 || status == EXIT_NOT_RUN || status == 0, "%s %zu: status %d",
	    what, at, status);
}

START_TEST(cut_short)
{
	strview bytes = read_bytes(in_folder("small.db"));

	for (size_t n = 1; n < bytes.n; n += n < 200 ? 37 : 4099) {
		write_bytes(in_folder("cut.db"), bytes.p, n);
		harmless(used_apart(in_folder("cut.db")), "cut at", n);
	}
}
END_TEST

START_TEST(bytes_changed)
{
	strview bytes = read_bytes(in_folder("small.db"));
	char *copy = mem_alloc(bytes.n);
	uint32_t random = 12345;
	unsigned refusals = 0;

	memcpy(copy, bytes.p, bytes.n);
	for (int turn = 0; turn < 300; turn++) {
		size_t at;
		char was;
		int status;

		random = random * 1664525 + 1013904223;
		at = turn < 100 ? (size_t)turn : random % bytes.n;
		was = copy[at];
		copy[at] = (char)(was ^ (1 << (random >> 28 & 7)));
		write_bytes(in_folder("changed.db"), copy, bytes.n);
		copy[at] = was;
		status = used_apart(in_folder("changed.db"));
		harmless(status, "changed at", at);
		refusals += status == 10;
	}
	free(copy);
	ck_assert_uint_gt(refusals, 30);
}
END_TEST

/* The block is guarded by its checksum: a change anywhere in it is seen. */
START_TEST(block_changed)
{
	strview bytes = read_bytes(in_folder("small.db"));
	char *copy = mem_alloc(bytes.n);
	size_t block = 0, end;

	while (block + 8 < bytes.n && memcmp(bytes.p + block, "bodkin\x1a", 7) != 0)
		block++;
	ck_assert_uint_lt(block + 8, bytes.n);
	end = block + 16384;
	ck_assert_uint_lt(end, bytes.n);
	memcpy(copy, bytes.p, bytes.n);
	for (size_t at = block; at < end; at += 23) {
		copy[at] ^= 4;
		write_bytes(in_folder("block.db"), copy, bytes.n);
		copy[at] ^= 4;
		refused(in_folder("block.db"), "compile");
	}
	free(copy);
}
END_TEST

/* ---- what is refused when compiling ----------------------------- */

#define FABRIC(text) "fabrics:\n  - fabric: reed cloth\n    says: Cloth.\n    basis: memory\n" text
#define RULE(must, touches, rest) "rules:\n  - id: r\n    area: a\n    each: operation\n    must: " must \
	"\n    degree: grave\n    touches: " touches "\n    say: It fails.\n    why: So.\n    source: practice\n" rest
#define EXAMPLES "    examples: [{fires: x}, {quiet: y}]\n"
#define ADVICE(rest) "advice:\n  - id: v\n    area: a\n    setting: thread.size\n    strength: usual\n" \
	"    why: So.\n    source: practice\n    examples: [{for: x, gives: 30 tex}]\n" rest

/* Each makes this complaint and no other, in this line. */
static const struct { const char *text; const char *name; uint32_t line; const char *near; } broken[] = {
	{"fabriks:\n  - {fabric: x}\n", "unknown-top-key", 1, "fabrics"},
	{"fabrics: towpath\n", "expected-list", 1, NULL},
	{"fabrics:\n  - towpath\n", "expected-map", 2, NULL},
	{FABRIC("    valuse: {ravel: none}\n"), "unknown-key", 5, "values"},
	{"fabrics:\n  - fabric: reed cloth\n    basis: memory\n", "missing-key", 2, NULL},
	{"terms:\n  - {term: reed, says: Tall grass, by the water.}\n", "comma-in-text", 2, NULL},
	{FABRIC("    values: {wieght: 100 g/m2}\n"), "unknown-property", 5, "weight"},
	{FABRIC("    values: {structure: wovn}\n"), "unknown-word", 5, "woven"},
	{FABRIC("    values: {structure: woven to net}\n"), "word-stretch", 5, NULL},
	{FABRIC("    values: {ravel: strong to slight}\n"), "value-low-above-high", 5, NULL},
	{FABRIC("    values:\n      weight: 100 gsmm\n"), "value-unknown-unit", 6, "g/m2"},
	{FABRIC("    values: {weight: 100 mm}\n"), "value-wrong-dimension", 5, NULL},
	{FABRIC("    values: {weight: 200-100 g/m2}\n"), "value-low-above-high", 5, NULL},
	{FABRIC("    values: {weight: 9000 g/m2}\n"), "value-out-of-domain", 5, NULL},
	{FABRIC("    values: {weight: 100 g/m2 or so}\n"), "value-trailing", 5, NULL},
	{FABRIC("    values: {weight: heavy}\n"), "value-missing", 5, NULL},
	{FABRIC("    values: {weight: {usual: 100-150 g/m2, seen: 110-140 g/m2}}\n"),
	    "seen-narrower", 5, NULL},
	{FABRIC("    values: {ravel: {usual: slight or strong, seen: slight}}\n"), "seen-narrower",
	    5, NULL},
	{FABRIC("    values: {weight: {seen: 100 g/m2}}\n"), "one-of-keys", 5, NULL},
	{FABRIC("    values: {weight: {is: 100 g/m2, basis: barge-table}}\n"), "unknown-source", 5,
	    "barge-tables"},
	{FABRIC("    kind of: [towpath dril]\n"), "unknown-entry", 5, "towpath drill"},
	{FABRIC("    see: [heron]\n"), "ambiguous-entry", 5, NULL},
	{"fabrics:\n  - fabric: reed cloth\n    says: Cloth.\n    values: {ravel: none}\n",
	    "no-basis", 4, NULL},
	{"fabrics:\n  - {fabric: Towpath Drill, says: Again.}\n", "duplicate-name", 2, NULL},
	{"fabrics:\n  - {fabric: reed cloth, also: [drill], says: Cloth.}\n", "duplicate-name", 2,
	    NULL},
	{"fabrics:\n  - {fabric: reed cloth, also: [{us: canal twill}], says: Cloth.}\n",
	    "duplicate-name", 2, NULL},
	{"fabrics:\n  - {fabric: reed cloth, kind of: [canal twill], says: Cloth.}\n",
	    "ambiguous-entry", 2, NULL},
	{"fabrics:\n  - {fabric: reed cloth, kind of: [reed cloth], says: Cloth.}\n",
	    "broader-circle", 2, NULL},
	{"terms:\n  - {term: reed, says: A plant., values: {ravel: none}}\n", "entry-no-object", 2,
	    NULL},
	{"fabrics:\n  - {fabric: reed cloth, also: [{usa: x}], says: Cloth.}\n", "unknown-word", 2,
	    "us"},
	{"features:\n  - feature: cuff\n    says: Cuff.\n    basis: memory\n    brings:\n"
	 "      - {operation: hem, piece: bagg}\n      - {piece: bag}\n", "unknown-local", 6,
	 "bag"},
	{"features:\n  - feature: cuff\n    says: Cuff.\n    basis: memory\n    brings:\n"
	 "      - stack: s\n        layers: [{layer: l, component: [shell, shel]}]\n", "not-a-role", 7,
	 NULL},
	{"features:\n  - feature: cuff\n    says: Cuff.\n    basis: memory\n    brings:\n"
	 "      - {piece: bag, width: = feature.widht}\n", "property-unknown", 6, "width"},
	{"features:\n  - feature: cuff\n    says: Cuff.\n    basis: memory\n    brings:\n"
	 "      - {operation: hem, as: a, after: b}\n      - {operation: join, as: b, after: a}\n",
	 "after-circle", 6, NULL},
	{"features:\n  - feature: cuff\n    says: Cuff.\n    basis: memory\n    brings:\n"
	 "      - {operation: topstich}\n", "nearly-an-entry", 6, "topstitch"},
	{"features:\n  - feature: cuff\n    says: Cuff.\n    basis: memory\n    brings:\n"
	 "      - {peice: bag}\n", "unknown-kind", 6, "piece"},
	{"sources:\n  - {id: barge-tables, title: Twice, body: B}\n", "duplicate-name", 2, NULL},
	{"sources:\n  - {id: s, title: T}\n", "one-of-keys", 2, NULL},
	{"units:\n  - {unit: yard, dimension: length, is: 3 feet}\n", "unknown-unit", 2, NULL},
	{"units:\n  - {unit: a, dimension: length, is: 2 b}\n  - {unit: b, dimension: length, is: 2 a}\n"
	 , "unit-circle", 2, NULL},
	{"units:\n  - {unit: pound, dimension: masss, base: yes}\n", "unknown-dimension", 2, NULL},
	{"units:\n  - {unit: mark, dimension: length, ladder: {1: 1 mm, 2: 3 mm, 3: 2 mm}}\n",
	    "ladder-order", 2, NULL},
	{"word sets:\n  - {set: role, values: [x]}\n", "duplicate-name", 2, NULL},
	{"word sets:\n  - {set: s, entries of: fabrik}\n", "unknown-entry-kind", 2, "fabric"},
	{"kinds:\n  - kind: lock\n    plural: locks\n    properties:\n      - {property: depth, quantity: length,"
	 " units: [mm, fathom]}\n", "unknown-unit", 5, NULL},
	{"kinds:\n  - kind: lock\n    plural: locks\n    properties:\n      - {property: gate, words: gates}\n",
	 "unknown-set", 5, NULL},
	{"kinds:\n  - kind: lock\n    plural: locks\n    properties:\n      - {property: depth, quantity: length,"
	 " units: [mm], formula: 2 * lock.depth, basis: memory}\n", "property-circle", 0, NULL},
	{"settings:\n  - {setting: z, property: operation.needle.siz, every: 1 mm, from: 1 mm, up to: 2 mm}\n",
	 "unknown-property", 2, "needle.size"},
	{"settings:\n  - {setting: z, property: operation.distance}\n", "one-of-keys", 2, NULL},
	{"formulas:\n  - {formula: f, takes: {x: mm}, gives: mm, is: x * x, basis: memory}\n",
	    "type-wrong", 2, NULL},
	{"formulas:\n  - {formula: f, gives: mm, is: 1 mm}\n", "no-basis", 2, NULL},
	{"formulas:\n  - {formula: f, gives: mm, is: g(), basis: memory}\n  - {formula: g, gives: mm, is: f(),"
	 " basis: memory}\n", "formula-circle", 0, NULL},
	{"formulas:\n  - formula: f\n    takes: {x: mm}\n    gives: mm\n    is: x\n    basis: memory\n    examples:\n"
	 "      - {with: {y: 1 mm}, gives: 1 mm, source: memory}\n", "unknown-key", 8, NULL},
	{"tables:\n  - {table: t, from: number, to: length, cells: {1: 2 mm, 1.0: 3 mm}, basis: memory}\n",
	 "duplicate-name", 2, NULL},
	{"phrases:\n  - {words: [damp], sets: garment.lined is no}\n", "expected-sets", 2, NULL},
	{"phrases:\n  - {words: [heavy], class of: component.weight, part: 2/3..2, alone: 1 kg/m2, basis: memory}\n",
	 "expected-part", 2, NULL},
	{"phrases:\n  - {words: [heavy]}\n", "one-of-keys", 2, NULL},
	{"phrases:\n  - {words: ['(damp|wet cloth'], sets: garment.lined = no}\n", "phrase-brackets", 2, NULL},
	{"phrases:\n  - {words: ['(damp|(wet|dry)) cloth'], sets: garment.lined = no}\n", "phrase-brackets", 2, NULL},
	{"messages:\n  - {id: m, says: 'open { slot'}\n", "message-brace", 2, NULL},
	{"messages:\n  - {id: m, says: 'a {Slot name}'}\n", "message-slot", 2, NULL},
	{"messages:\n  - {id: plain, says: Twice.}\n", "duplicate-name", 2, NULL},
	{RULE("operation.cloth.size > 1 tex", "[needle.size]", EXAMPLES), "rule-touches-unread", 2,
	    NULL},
	{RULE("operation.needle.size > 1 mm", "[needle.sise]", EXAMPLES), "unknown-setting", 7,
	    "needle.size"},
	{RULE("operation.needle.size > 1 mm", "[seam.kind]", EXAMPLES), "rule-touches-unread", 2,
	    NULL},
	{RULE("operation.needle.size > 1 g/m2", "[needle.size]", EXAMPLES), "dimensions-differ", 5,
	    NULL},
	{RULE("operation.needle.size > 1 mm", "[needle.size]", "    examples: [{fires: x}]\n"),
	    "rule-no-quiet", 2, NULL},
	{RULE("operation.needle.size > 1 mm", "[needle.size]",
	    "    examples: [{quiet: x}, {fires: y, by tool: yes}]\n"),
	 "rule-no-firing", 2, NULL},
	{RULE("operation.needle.size > 1 mm", "[needle.size]",
	    EXAMPLES "    settle: 'Take {operation.nedle}'\n"),
	 "property-unknown", 12, NULL},
	{RULE("operation.needle.size > 1 mm and not operation.cloth is heron net", "[needle.size]",
	    EXAMPLES),
	 "word-with-blanks", 5, NULL},
	{RULE("operation.needle.size > 1 mm and not operation.cloth is \"heron net\"",
	    "[needle.size]", EXAMPLES),
	 "rule-names-entry", 2, NULL},
	{RULE("operation.needle.size > 1 mm", "[needle.size]", EXAMPLES) "  - {id: r, area: a, each: operation,"
	 " must: operation.needle.size > 1 mm, degree: grave, touches: [needle.size], say: S., why: W.,"
	 " source: memory, examples: []}\n", "duplicate-name", 12, NULL},
	{RULE("operation.needle.size > 1 mm", "[needle.size]", EXAMPLES) "advice:\n  - {id: r, area: a,"
	 " setting: needle.size, take: at least 1 mm, strength: firm, why: W., source: memory, examples: []}\n",
	 "duplicate-name", 13, NULL},
	{RULE("operation.needle.size > 1 mm", "[]", EXAMPLES), "rule-touches-count", 7, NULL},
	{ADVICE("    take: at least 30 tex\n    when: operation.needle.size > 1 mm\n"),
	    "advice-reads-later", 2, NULL},
	{ADVICE("    take: at least operation.needle.reach\n"), "type-wrong", 9, NULL},
	{"advice:\n  - {id: thread-crowds-the-needle, area: a, setting: suits, take: at least 1 mm, strength: firm,"
	 " why: W., source: memory, examples: []}\n", "advice-not-chosen", 2, NULL},
	{RULE("operation.cloth.structure = wovn and operation.needle.size > 1 mm", "[needle.size]",
	    EXAMPLES), "word-unknown", 5, "woven"},
	{ADVICE("    take: 20 tex .. 30 tex\n    start: 60 tex\n"), "advice-start-outside", 10, NULL},
	{ADVICE("    take: at least 20 tex\n    start: 18 tex\n"), "advice-start-outside", 10, NULL},
	{ADVICE("    take: 20 tex .. 40 tex\n    not pinned: {77: nothing}\n"), "not-pinned-absent", 10,
	 NULL},
	{RULE("operation.needle.size > 1 mm", "[needle.size]", EXAMPLES "    not pinned: {10 mm: no}\n"),
	 "not-pinned-absent", 12, NULL},
	{"advice:\n  - {id: v, area: a, setting: thread.size, take: at least 20 tex, strength: usual,"
	 " why: 'over {limit}', source: memory, examples: [{for: x, gives: 30 tex}]}\n", "advice-limit",
	 2, NULL},
	{"advice:\n  - {id: v, area: a, setting: thread.size, take: at least 20 tex, strength: usual,"
	 " when: 'operation.cloth is \"heron net\"', why: W., source: memory,"
	 " examples: [{for: x, gives: 30 tex}]}\n", "rule-names-entry", 2, NULL},
	/* the order of work */
#define ORDER(first, then, more) "order rules:\n  - {id: o, first: '" first "', then: '" then \
    "', why: W., source: memory" more "}\n"
#define SPEAKS ", examples: [{fires: x}]"
	{ORDER("operation.sewn = yes", "operation.sewn = no", ""), "missing-key", 2, NULL},
	{ORDER("operation.sewn = yes", "operation.sewn = no", ", examples: [{quiet: x}]"),
	 "rule-no-firing", 2, NULL},
	{ORDER("operation.sewn = yes", "operation.cloth.size > 1 tex", ", same: sewn" SPEAKS),
	 "order-no-reference", 2, NULL},
	{ORDER("operation.sewn = yes", "operation.sewn > 1 mm", SPEAKS), "type-wrong", 2, NULL},
	{ORDER("operation.cloth is \"heron net\"", "operation.sewn = yes", SPEAKS),
	 "rule-names-entry", 2, NULL},
	{"order changes:\n  - {change: c, label: l, of: nothing}\n", "unknown-property", 2, NULL},
	{"fabrics:\n  - fabric: &a x\n", "yaml-anchor", 2, NULL},
};

START_TEST(complaint_and_line)
{
	const struct diagnostic *d;
	uint32_t line, column, errors = 0;

	new_folder();
	ck_assert_int_eq(mkdir(in_folder("rules"), 0755), 0);
	write_bytes(in_folder("rules/broken.yaml"), broken[_i].text, strlen(broken[_i].text));
	ck_assert_msg(!kb_compile(KB, in_folder("rules"), in_folder("out.db"), &diags), "%s",
	    broken[_i].text);
	ck_assert_int_ne(access(in_folder("out.db"), F_OK), 0);
	for (size_t i = 0; i < diags.n; i++)
		errors += diag_level(diags.d[i].id) == DIAG_ERROR;
	ck_assert_msg(errors >= 1, "no error for\n%s", broken[_i].text);
	d = &diags.d[0];
	place_line_column(d->place, &line, &column);
	ck_assert_msg(strcmp(diag_name(d->id), broken[_i].name) == 0 && line == broken[_i].line &&
	    errors == 1,
	    "for\n%s\nexpected %s in line %u alone, got\n%s", broken[_i].text, broken[_i].name,
	    broken[_i].line,
	    complaints());
	if (broken[_i].near != NULL)
		ck_assert_msg(strstr(d->near, broken[_i].near) != NULL, "%s is not offered:\n%s",
		    broken[_i].near,
		    complaints());
	drop_folder();
}
END_TEST

/* Accepted, but told: what may be a slip. */
START_TEST(notes_of_what_may_be_a_slip)
{
	static const char text[] =
	    "fabrics:\n"
	    "  - {fabric: reed cloth, also: [tiller pocket], says: Cloth.}\n"
	    "advice:\n"
	    "  - {id: v, area: needle and thred, setting: thread.size, take: at least 20 tex,\n"
	    "    strength: usual, why: W., source: memory, examples: [{for: x, gives: 30 tex}]}\n"
	    "  - {id: w, area: needle and thread, setting: thread.size, take: at least 20 tex,\n"
	    "    strength: usual, why: W., source: memory, examples: [{for: x, gives: 30 tex}]}\n";

	new_folder();
	ck_assert_int_eq(mkdir(in_folder("rules"), 0755), 0);
	write_bytes(in_folder("rules/a.yaml"), text, sizeof text - 1);
	ck_assert_msg(kb_compile(KB, in_folder("rules"), in_folder("out.db"), &diags), "%s",
	    complaints());
	ck_assert_msg(strstr(complaints(), "a.yaml:4:19: note: no other rule or advice belongs to the "
	    "area needle and thred") != NULL && strstr(complaints(), "did you mean needle and thread")
	    != NULL, "%s", complaints());
	ck_assert_msg(strstr(complaints(), "plain words read tiller pocket as the ") != NULL, "%s",
	    complaints());
	drop_folder();
}
END_TEST

START_TEST(all_complaints_at_once)
{
	static const char text[] =
	    "fabrics:\n"
	    "  - fabric: reed cloth\n"
	    "    says: Cloth.\n"
	    "    values: {wieght: 1 g/m2, ravel: nonee}\n"
	    "rules:\n"
	    "  - id: r\n";

	new_folder();
	ck_assert_int_eq(mkdir(in_folder("rules"), 0755), 0);
	write_bytes(in_folder("rules/a.yaml"), text, sizeof text - 1);
	ck_assert(!kb_compile(KB, in_folder("rules"), in_folder("out.db"), &diags));
	/* In the order of the lines, though made by different passes. */
	for (size_t i = 1; i < diags.n; i++)
		ck_assert_uint_ge(diags.d[i].place.at, diags.d[i - 1].place.at);
	ck_assert_str_eq(diag_name(diags.d[0].id), "unknown-property");
	ck_assert_str_eq(diag_name(diags.d[1].id), "no-basis");
	ck_assert_str_eq(diag_name(diags.d[2].id), "unknown-word");
	ck_assert_str_eq(diag_name(diags.d[3].id), "missing-key");
	drop_folder();
}
END_TEST

START_TEST(too_many_words)
{
	struct buf b = {0};

	new_folder();
	ck_assert_int_eq(mkdir(in_folder("rules"), 0755), 0);
	buf_str(&b, "word sets:\n  - set: stones\n    values: [");
	for (int i = 0; i < 128; i++)
		buf_print(&b, "%sstone %d", i > 0 ? ", " : "", i);
	buf_str(&b, "]\n");
	write_bytes(in_folder("rules/a.yaml"), b.p, b.n);
	ck_assert_msg(kb_compile(KB, in_folder("rules"), in_folder("out.db"), &diags), "%s",
	    complaints());
	b.n -= 2;
	buf_str(&b, ", one more]\n");
	write_bytes(in_folder("rules/a.yaml"), b.p, b.n);
	ck_assert(!kb_compile(KB, in_folder("rules"), in_folder("out.db"), &diags));
	ck_assert_str_eq(diag_name(diags.d[0].id), "too-many-words");
	buf_free(&b);
	drop_folder();
}
END_TEST

START_TEST(folders_and_output)
{
	new_folder();
	ck_assert(!kb_compile("no/such/folder", RULES, in_folder("out.db"), &diags));
	ck_assert_str_eq(diag_name(diags.d[0].id), "folder-unreadable");
	diags_init(&diags, arena);
	ck_assert(!kb_compile(KB, folder, in_folder("out.db"), &diags));
	ck_assert_str_eq(diag_name(diags.d[0].id), "folder-no-yaml");
	diags_init(&diags, arena);
	ck_assert(!kb_compile(KB, RULES, in_folder("no/such/out.db"), &diags));
	ck_assert_str_eq(diag_name(diags.d[0].id), "write-failed");
	/* A fault leaves the old file as it was. */
	write_bytes(in_folder("old.db"), "old", 3);
	diags_init(&diags, arena);
	ck_assert(!kb_compile(KB, "tests/unit", in_folder("old.db"), &diags));
	ck_assert_uint_eq(read_bytes(in_folder("old.db")).n, 3);
	drop_folder();
}
END_TEST

/* ---- spoilt text ----------------------------- */

static const char *const small_files[] = {"kb/schema.yaml", "kb/entries.yaml", "kb/tables.yaml",
    "rules/rules.yaml"};

static uint32_t
draw(uint32_t *random, uint32_t below)
{
	*random = *random * 1664525 + 1013904223;
	return (*random >> 8) % below;
}

/* A few bytes gone, a sign in place of a letter, or a piece moved. */
static void
spoil(char *t, size_t *n, uint32_t *random)
{
	size_t a = draw(random, (uint32_t)*n), b = a + draw(random, 20), c = draw(random,
	    (uint32_t)*n);

	if (b > *n)
		b = *n;
	switch (draw(random, 3)) {
	case 0:
		memmove(t + a, t + b, *n - b);
		*n -= b - a;
		break;
	case 1:
		t[a] = " :-,{}[]\"'=0a\n.*/"[draw(random, 17)];
		break;
	case 2:
		if (c + (b - a) <= *n)
			memmove(t + c, t + a, b - a);
		break;
	}
}

/* Whatever the text: complaints and no file, or a file that opens. */
START_TEST(spoilt_text)
{
	uint32_t random = 7, refusals = 0;

	new_folder();
	ck_assert_int_eq(mkdir(in_folder("kb"), 0755), 0);
	ck_assert_int_eq(mkdir(in_folder("rules"), 0755), 0);
	for (int turn = 0; turn < 150; turn++) {
		uint32_t which = draw(&random, COUNT(small_files));
		const char *why = "";
		bool good;

		for (uint32_t i = 0; i < COUNT(small_files); i++) {
			strview text = read_bytes(arena_print(arena, "tests/unit/kb-small/%s",
			    small_files[i]));
			char *copy = arena_text(arena, text.p, text.n);
			size_t n = text.n;

			for (uint32_t k = 0; i == which && k <= draw(&random, 2); k++)
				spoil(copy, &n, &random);
			write_bytes(in_folder(small_files[i]), copy, n);
		}
		unlink(in_folder("out.db"));
		diags_init(&diags, arena);
		good = kb_compile(in_folder("kb"), in_folder("rules"), in_folder("out.db"), &diags);
		refusals += !good;
		ck_assert_msg(good == (diags.errors == 0), "turn %d: %zu errors", turn,
		    diags.errors);
		ck_assert_msg(good == (access(in_folder("out.db"), F_OK) == 0), "turn %d", turn);
		if (!good)
			continue;
		kb = kb_open(in_folder("out.db"), &why);
		ck_assert_msg(kb != NULL, "turn %d: %s", turn, why);
		for (uint32_t i = 0; i < kb_craft(kb)->n_entry; i++)
			kb_entry(kb, i);
		kb_close(kb);
	}
	ck_assert_uint_gt(refusals, 50);
	drop_folder();
}
END_TEST

/* A schema that lacks what the program cannot do without. */
START_TEST(built_ins)
{
	static const char text[] = "word sets:\n  - {set: x, values: [a]}\n";

	new_folder();
	ck_assert_int_eq(mkdir(in_folder("kb"), 0755), 0);
	write_bytes(in_folder("kb/a.yaml"), text, sizeof text - 1);
	ck_assert(!kb_compile(in_folder("kb"), in_folder("kb"), in_folder("out.db"), &diags));
	ck_assert_msg(strstr(complaints(), "the word set role") != NULL, "%s", complaints());
	ck_assert_msg(strstr(complaints(), "the kind garment") != NULL, "%s", complaints());
	drop_folder();
}
END_TEST

/* ---- all of it ----------------------------- */

static Suite *
suite(void)
{
	Suite *s = suite_create("knowledge");
	TCase *t = tcase_create("compiled");

	tcase_add_checked_fixture(t, compiled, closed);
	tcase_add_test(t, units_and_ranges);
	tcase_add_test(t, schema_as_written);
	tcase_add_test(t, values_of_an_entry);
	tcase_add_test(t, words_joined);
	tcase_add_test(t, what_a_feature_brings);
	tcase_add_test(t, figures_and_worked_examples);
	tcase_add_test(t, rules_advice_and_messages);
	tcase_add_test(t, phrases_as_written);
	suite_add_tcase(s, t);
	t = tcase_create("names");
	tcase_add_checked_fixture(t, compiled, closed);
	tcase_add_loop_test(t, name_found, 0, (int)COUNT(names));
	tcase_add_test(t, names_not_there);
	tcase_add_test(t, names_and_their_region);
	tcase_add_test(t, entries_by_name);
	tcase_add_test(t, near_names);
	suite_add_tcase(s, t);
	t = tcase_create("search");
	tcase_add_checked_fixture(t, compiled, closed);
	tcase_add_loop_test(t, search_finds, 0, (int)COUNT(searches));
	tcase_add_loop_test(t, search_takes_anything, 0, (int)COUNT(hostile));
	tcase_add_test(t, search_column_names_are_words);
	suite_add_tcase(s, t);
	t = tcase_create("file");
	tcase_add_checked_fixture(t, compiled, closed);
	tcase_set_timeout(t, 120);
	tcase_add_test(t, same_text_same_bytes);
	tcase_add_test(t, version_follows_content);
	tcase_add_test(t, odd_paths);
	tcase_add_test(t, not_a_database);
	tcase_add_test(t, cut_short);
	tcase_add_test(t, bytes_changed);
	tcase_add_test(t, block_changed);
	suite_add_tcase(s, t);
	t = tcase_create("refused");
	tcase_add_loop_test(t, complaint_and_line, 0, (int)COUNT(broken));
	tcase_add_test(t, all_complaints_at_once);
	tcase_add_test(t, notes_of_what_may_be_a_slip);
	tcase_add_test(t, too_many_words);
	tcase_add_test(t, folders_and_output);
	tcase_add_test(t, built_ins);
	tcase_set_timeout(t, 120);
	tcase_add_test(t, spoilt_text);
	suite_add_tcase(s, t);
	return s;
}

int
main(void)
{
	SRunner *r = srunner_create(suite());
	int failed;

	srunner_run_all(r, CK_ENV);
	failed = srunner_ntests_failed(r);
	srunner_free(r);
	return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
