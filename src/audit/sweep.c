/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The sweep and the nameless twins.
 *
 * Sweep: every cloth with every feature on the feature's plainest garment, the
 * cloth being all that is said, at its usual range, its low end and its high
 * end. (a) No rule fails that touches only settings which advice chooses,
 * unless advice reported that it could not meet. (b) Where the entries state
 * that cloth and garment suit each other, no rule of the two graver degrees
 * fails, and at the two ends none that hangs on an advised setting is open.
 *
 * Twins: every cloth judged and advised by name, and again with its properties
 * but without its name. Only a rule that says why it names an entry may differ.
 */
#include "audit/audit_impl.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

enum end { USUAL, LOW, HIGH, END__COUNT };
static const char *const end_names[] = {[USUAL] = "usual", [LOW] = "low end", [HIGH] = "high end"};

struct trial {
	struct audit *out;
	struct knowledge *kb;
	const struct craft *c;
	struct arena *arena;
	struct audit_part *part;
	uint32_t garment, cloth, feature;  /* entries; feature NONE: none */
	bool suited;
};

/* ---- a project made of entries --------------------------------------------------- */

static void
say(struct project *p, uint16_t kind, uint16_t role, uint32_t entry)
{
	p->things[p->n_things++] = (struct said_thing){.kind = kind, .role = role,
	    .entry = entry, .count = 1,
	    .of = NONE};
}

static struct model *
model_of(struct trial *t)
{
	const struct craft *c = t->c;
	struct project *p = arena_alloc(t->arena, sizeof *p);
	struct diags d;
	const struct entry_kind *k = &c->entry_kind[c->entry[t->cloth].kind];

	diags_init(&d, t->arena);
	*p = (struct project){.arena = t->arena, .title = "", .asked = NONE, .asked_scope = NONE};
	p->things = arena_alloc(t->arena, 3 * sizeof *p->things);
	p->cap_things = 3;
	if (t->garment != NONE)
		say(p, c->entry_kind[c->entry[t->garment].kind].object_kind, NO16, t->garment);
	say(p, k->object_kind, k->role, t->cloth);
	if (t->feature != NONE)
		say(p, c->entry_kind[c->entry[t->feature].kind].object_kind, NO16, t->feature);
	return model_expand(t->arena, t->kb, p, &d);
}

/* The object that stands for the cloth. */
static uint32_t
cloth_object(const struct trial *t, const struct model *m)
{
	for (uint32_t o = 0; o < m->n_objects; o++)
		if (m->objects[o].entry == t->cloth)
			return o;
	return NONE;
}

static void
to_end(const struct trial *t, struct model *m, enum end end)
{
	uint32_t o = cloth_object(t, m);
	const struct kind *k;

	if (end == USUAL || o == NONE)
		return;
	k = &t->c->kind[m->objects[o].kind];
	for (uint32_t i = 0; i < k->n_properties; i++) {
		value *v = model_slot(m, o, k->first_property + i);

		if (v->state != VALUE_KNOWN || m->pedigrees[v->pedigree].kind != PEDIGREE_TYPICAL)
			continue;
		if (t->c->property[k->first_property + i].type == TYPE_QUANTITY)
			v->r = range_exact(end == LOW ? v->r.lo : v->r.hi);
		else if (t->c->property[k->first_property + i].type == TYPE_WORDS) {
			uint32_t w = 0;

			for (uint32_t n = 0; n < 128; n++) {
				uint32_t at = end == LOW ? n : 127 - n;
				if (v->set[at >> 6] >> (at & 63) & 1) {
					w = at;
					break;
				}
			}
			v->set[0] = v->set[1] = 0;
			v->set[w >> 6] = (uint64_t)1 << (w & 63);
		}
	}
	model_derive(m, NONE);
}

/* ---- one pair --------------------------------------------------------------------- */

static bool
touches_only_chosen(const struct craft *c, const struct rule *r)
{
	for (uint8_t i = 0; i < r->n_touches; i++)
		if (!c->setting[r->touches[i]].chosen)
			return false;
	return r->n_touches > 0;
}

static bool
touches_chosen(const struct craft *c, const struct rule *r)
{
	for (uint8_t i = 0; i < r->n_touches; i++)
		if (c->setting[r->touches[i]].chosen)
			return true;
	return false;
}

static bool
reported_empty(const struct rule *r, const struct advised *a)
{
	for (uint32_t i = 0; i < a->n; i++)
		for (uint8_t k = 0; k < r->n_touches; k++)
			if (a->c[i].empty && a->c[i].setting == r->touches[k])
				return true;
	return false;
}

static void
complain(struct trial *t, enum end end, const struct rule *r, const char *what)
{
	const struct craft *c = t->c;

	audit_fail(t->out, t->part, "%s %s (%s): bodkin check --words \"%s in %s%s%s\"",
	    craft_text(c, r->id), what,
	    end_names[end], craft_text(c, c->entry[t->garment].name),
	    craft_text(c, c->entry[t->cloth].name),
	    t->feature != NONE ? " with " : "",
	    t->feature != NONE ? craft_text(c, c->entry[t->feature].name) : "");
}

/* A model that can be changed and leaves this one as it is. */
static struct model *
model_apart(struct arena *a, const struct model *m)
{
	struct model *copy = model_copy(a, m);

	copy->pedigrees = arena_alloc(a, copy->n_pedigrees * sizeof *copy->pedigrees);
	memcpy(copy->pedigrees, m->pedigrees, copy->n_pedigrees * sizeof *copy->pedigrees);
	copy->cap_pedigrees = copy->n_pedigrees;
	return copy;
}

static void
try_end(struct trial *t, struct model *m, enum end end)
{
	const struct craft *c = t->c;
	struct advised *a;
	bool open_counts = t->suited && end != USUAL;
	struct judgement *j;

	to_end(t, m, end);
	a = advise(t->arena, t->kb, m);
	j = open_counts ? judge(t->arena, t->kb, m) : judge_fails(t->arena, t->kb, m);
	for (uint32_t i = 0; i < j->n_fails; i++) {
		const struct rule *r = &c->rule[j->fails[i].rule];

		if (r->safety || reported_empty(r, a))
			continue;
		if (touches_only_chosen(c, r))
			complain(t, end, r, "fails though advice chose");
		else if (t->suited && j->fails[i].degree >= DEGREE_DOUBTFUL)
			complain(t, end, r, "fails though the entries say they suit");
	}
	if (open_counts)
		for (uint32_t i = 0; i < j->n_undecided; i++) {
			const struct rule *r = &c->rule[j->undecided[i].rule];

			if (touches_chosen(c, r))
				complain(t, end, r, "is undecided though advice chose");
		}
}

/* The pair is made into a model once; each end is tried on a copy of it. */
static void
try_pair(struct trial *t)
{
	struct model *m = model_of(t);

	t->part->tried += END__COUNT;
	for (int end = USUAL; m != NULL && end < END__COUNT; end++)
		try_end(t, end + 1 < END__COUNT ? model_apart(t->arena, m) : m, (enum end)end);
}

/* ---- all pairs ----------------------------------------------------------------------- */

static uint32_t
link_of(struct knowledge *kb, uint32_t entry, const char *how, uint32_t wanted)
{
	const struct entry_record *r = kb_entry(kb, entry);

	for (uint32_t i = 0; i < r->n_links; i++)
		if (strcmp(r->links[i].how, how) == 0 && (wanted == NONE || r->links[i].entry == wanted))
			return r->links[i].entry;
	return NONE;
}

/* The plainest garment that has the feature: the one the entry names, else the
 * first garment that brings it by itself. */
static uint32_t
carrier(struct trial *t, uint32_t feature, uint32_t garments)
{
	uint32_t g = link_of(t->kb, feature, "carrier", NONE), first = NONE;

	if (g != NONE)
		return g;
	for (uint32_t i = 0; i < t->c->n_entry; i++) {
		const struct entry_record *r;

		if (t->c->entry[i].kind != garments)
			continue;
		if (first == NONE)
			first = i;
		r = kb_entry(t->kb, i);
		for (uint32_t k = 0; k < r->n_brings; k++)
			if (r->brings[k].entry == feature)
				return i;
	}
	return first;
}

/* Features FROM .. TO - 1 of LIST with every cloth. */
static void
sweep_block(struct trial *t, const uint32_t *list, uint32_t from, uint32_t to)
{
	const struct craft *c = t->c;
	uint32_t cloths = audit_kind(c, "fabric"), garments = audit_kind(c, "garment");

	for (uint32_t n = from; n < to; n++) {
		t->feature = list[n];
		t->garment = carrier(t, list[n], garments);
		for (uint32_t i = 0; i < c->n_entry; i++) {
			if (c->entry[i].kind != cloths)
				continue;
			t->cloth = i;
			t->suited = link_of(t->kb, i, "suits", t->garment) != NONE &&
			    link_of(t->kb, i, "suits not", t->feature) == NONE;
			try_pair(t);
			arena_reset(t->arena);
		}
	}
}

/* ---- on all cores ---------------------------------------------------------------------- */

enum { SHARES_MOST = 16 };
struct share { pid_t pid; int from; };

static bool
write_all(int fd, const void *p, size_t n)
{
	for (const char *at = p; n > 0; ) {
		ssize_t done = write(fd, at, n);

		if (done < 0 && errno == EINTR)
			continue;
		if (done <= 0)
			return false;
		at += done;
		n -= (size_t)done;
	}
	return true;
}

static void
read_all(int fd, struct buf *b)
{
	char part[65536];
	ssize_t n;

	while ((n = read(fd, part, sizeof part)) > 0 || (n < 0 && errno == EINTR))
		if (n > 0)
			buf_add(b, part, (size_t)n);
}

/* A process of its own tries its block; its counts and complaints come through a
 * pipe.  The entries were all read before, so it asks nothing of the database. */
static bool
share_begin(struct share *s, struct trial *t, const uint32_t *list, uint32_t from, uint32_t to)
{
	int ends[2];
	bool fine;

	if (pipe(ends) != 0)
		return false;
	s->from = ends[0];
	s->pid = fork();
	if (s->pid != 0) {
		close(ends[1]);
		return s->pid > 0;
	}
	close(ends[0]);
	buf_clear(&t->out->report);
	t->part->tried = t->part->failed = 0;
	sweep_block(t, list, from, to);
	fine = write_all(ends[1], &t->part->tried, sizeof t->part->tried) &&
	    write_all(ends[1], &t->part->failed, sizeof t->part->failed) &&
	    write_all(ends[1], t->out->report.p, t->out->report.n);
	_exit(fine ? 0 : 1);
}

static bool
share_end(struct share *s, struct trial *t)
{
	struct buf b = {0};
	uint32_t tried, failed;
	int status = 1;

	read_all(s->from, &b);
	close(s->from);
	if (waitpid(s->pid, &status, 0) != s->pid || status != 0 || b.n < 2 * sizeof tried) {
		buf_free(&b);
		return false;
	}
	memcpy(&tried, b.p, sizeof tried);
	memcpy(&failed, b.p + sizeof tried, sizeof failed);
	t->part->tried += tried;
	t->part->failed += failed;
	buf_add(&t->out->report, b.p + 2 * sizeof tried, b.n - 2 * sizeof tried);
	buf_free(&b);
	return true;
}

/* Neighbouring features to each process, so that the report reads the same however
 * many there are. */
void
audit_sweep(struct audit *out, struct knowledge *kb)
{
	const struct craft *c = kb_craft(kb);
	struct trial t = {.out = out, .kb = kb, .c = c, .arena = arena_new(),
	    .part = audit_part(out, "sweep")};
	uint32_t features = audit_kind(c, "feature"), n = 0, started = 0, shares;
	uint32_t *list = mem_alloc((c->n_entry + 1) * sizeof *list);
	struct share s[SHARES_MOST];
	long cores = sysconf(_SC_NPROCESSORS_ONLN);
	bool fine = true;

	for (uint32_t i = 0; i < c->n_entry; i++) {
		kb_entry(kb, i);
		if (c->entry[i].kind == features)
			list[n++] = i;
	}
	shares = cores < 2 ? 1 : cores > SHARES_MOST ? SHARES_MOST : (uint32_t)cores;
	if (shares == 1 || n < shares) {
		sweep_block(&t, list, 0, n);
	} else {
		while (started < shares && fine) {
			fine = share_begin(&s[started], &t, list, n * started / shares,
			    n * (started + 1) / shares);
			started += fine;
		}
		for (uint32_t i = 0; i < started; i++)
			fine = share_end(&s[i], &t) && fine;
		if (!fine)
			die(EXIT_OUR_FAULT, "a share of the sweep ended before its work was done");
	}
	free(list);
	arena_free(t.arena);
}

/* ---- twins ----------------------------------------------------------------------------- */

struct outcome { uint32_t rule; tri is; };

static uint32_t
outcomes(const struct judgement *j, struct outcome *o, uint32_t max)
{
	uint32_t n = 0;

	for (uint32_t i = 0; i < j->n_fails && n < max; i++)
		o[n++] = (struct outcome){j->fails[i].rule, TRI_FALSE};
	for (uint32_t i = 0; i < j->n_undecided && n < max; i++)
		o[n++] = (struct outcome){j->undecided[i].rule, TRI_UNKNOWN};
	return n;
}

static void
missing_outcomes(struct trial *t, const struct outcome *a, uint32_t na,
    const struct outcome *b, uint32_t nb,
    const char *what)
{
	for (uint32_t i = 0; i < na; i++) {
		bool found = false;

		for (uint32_t k = 0; k < nb; k++)
			found |= a[i].rule == b[k].rule && a[i].is == b[k].is;
		if (!found && craft_text(t->c, t->c->rule[a[i].rule].names_entry)[0] == '\0')
			audit_fail(t->out, t->part, "%s: %s only %s its name",
			    craft_text(t->c, t->c->entry[t->cloth].name),
			    craft_text(t->c, t->c->rule[a[i].rule].id), what);
	}
}

static void
try_twin(struct trial *t)
{
	const struct craft *c = t->c;
	struct model *named = model_of(t), *nameless = model_of(t);
	struct advised *a, *b;
	struct outcome x[256], y[256];
	uint32_t nx, ny, o;

	t->part->tried++;
	if (named == NULL || nameless == NULL)
		return;
	o = cloth_object(t, nameless);
	if (o == NONE)
		return;
	nameless->objects[o].entry = NONE;
	a = advise(t->arena, t->kb, named);
	b = advise(t->arena, t->kb, nameless);
	nx = outcomes(judge(t->arena, t->kb, named), x, 256);
	ny = outcomes(judge(t->arena, t->kb, nameless), y, 256);
	missing_outcomes(t, x, nx, y, ny, "with");
	missing_outcomes(t, y, ny, x, nx, "without");
	for (uint32_t i = 0; i < a->n && i < b->n; i++)
		if (a->c[i].start.set[0] != b->c[i].start.set[0] || a->c[i].start.set[1] != b->c[i].start.set[1])
			audit_fail(t->out, t->part, "%s: another choice of %s without its name",
			    craft_text(c, c->entry[t->cloth].name), craft_text(c, c->setting[a->c[i].setting].name));
}

void
audit_twins(struct audit *out, struct knowledge *kb)
{
	const struct craft *c = kb_craft(kb);
	struct trial t = {.out = out, .kb = kb, .c = c, .arena = arena_new(), .feature = NONE,
	    .part = audit_part(out, "nameless twins")};
	uint32_t cloths = audit_kind(c, "fabric"), garments = audit_kind(c, "garment"), first = NONE;

	for (uint32_t i = 0; i < c->n_entry && first == NONE; i++)
		if (c->entry[i].kind == garments)
			first = i;
	for (uint32_t i = 0; i < c->n_entry; i++) {
		if (c->entry[i].kind != cloths)
			continue;
		t.cloth = i;
		t.garment = link_of(kb, i, "suits", NONE);
		if (t.garment == NONE || c->entry[t.garment].kind != garments)
			t.garment = first;
		try_twin(&t);
		arena_reset(t.arena);
	}
	arena_free(t.arena);
}
