/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * An expression: compiled into a copy of the craft, packed and verified as it
 * would be in the database, then worked out and decided over a model.
 *
 * The first byte picks the object that is spoken of and the form: an
 * expression, a band of advice or a message.
 */
#include "fuzz.h"

#include "judge/judge.h"

#include <string.h>

static struct craft_maker *
maker_of(struct arena *a, struct diags *d, const struct craft *c)
{
	struct craft_maker *m = maker_new(a, d);

	/* The maker's own text begins with the empty one, as the craft's does. */
	maker_add_text(m, c->text + 1, c->n_text - 1);
#define SECTION(type, name) \
	if (strcmp(#name, "text") != 0) \
		maker_add_##name(m, (const type *)c->name, c->n_##name);
#include "language/sections.def"
#undef SECTION
	return m;
}

static struct model *
model_of(struct arena *a, struct knowledge *kb, struct diags *d)
{
	static const char words[] = "lock-keeper's coat in sailcloth, twine, topstitch, horn button";
	struct source *src = fuzz_source(a, "<words>", (const uint8_t *)words, sizeof words - 1);

	return model_expand(a, kb, project_from_words(a, kb, src, d), d);
}

static void
work(const struct craft *c, struct model *m, uint32_t program, uint32_t object)
{
	struct binding bind = {{0}};
	struct step steps[64];
	struct trace trace = {.steps = steps, .cap = 64};
	struct watch watch = {.n = 0};
	struct model *before;
	struct cell out;
	struct truth t;

	m->craft = c;
	bind.object[0] = object;
	out = eval(c, m, program, &bind, &trace, &watch);
	HOLDS(out.type < TYPE__COUNT && out.state <= VALUE_KNOWN);
	if (out.type == TYPE_QUANTITY && out.state == VALUE_KNOWN)
		HOLDS(out.r.lo <= out.r.hi);
	if (out.type != TYPE_TRUTH)
		return;
	HOLDS(out.truth < TRI__COUNT);
	before = model_copy(m->arena, m);
	t = decide(c, m, program, &bind);
	HOLDS(memcmp(before->slots, m->slots, m->n_slots * sizeof *m->slots) == 0);
	HOLDS(t.n_tips <= 3 && t.n_facts <= 3);
	/* What is certain at once stays so when looked at more closely. */
	if (out.truth != TRI_UNKNOWN)
		HOLDS(t.is == out.truth);
}

static void
compile(struct arena *a, struct craft_maker *m, struct model *model, strview text, uint8_t pick,
    struct diags *d)
{
	struct place at = {source_new(a, "rule", text), 0, (uint32_t)text.n};
	struct scope s = {.n_variables = 1, .formula = NONE, .for_property = NONE};
	uint32_t object = pick / 4 % model->n_objects, program = NONE, low, high, first, n;
	uint32_t property = pick % maker_view(m)->n_property;
	struct message said;
	struct craft copy;
	const char *why = "";

	s.variable_kind[0] = model->objects[object].kind;
	switch (pick % 4) {
	case 0:
	case 1:
		program = expression_compile(m, text, at, &s, NULL);
		HOLDS((program == NONE) == (d->errors > 0));
		break;
	case 2:
		s.for_property = property;
		if (take_compile(m, text, at, &s, property, &low, &high, &first, &n))
			program = low;
		else
			HOLDS(d->errors > 0);
		break;
	case 3:
		HOLDS(message_compile(m, text, at, &s, &said) || d->errors > 0);
		break;
	}
	/* A refused one leaves instructions behind, which no program reaches. */
	HOLDS(craft_unpack(&copy, a, craft_pack(a, maker_view(m)), &why));
	if (program != NONE)
		work(maker_view(m), model, program, object);
}

int
LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	struct knowledge *kb = fuzz_kb();
	struct arena *a;
	struct craft_maker *m;
	struct model *model;
	struct diags d, e;
	strview text;
	struct buf b = {0};

	if (size < 2)
		return 0;
	a = arena_new();
	diags_init(&d, a);
	diags_init(&e, a);
	model = model_of(a, kb, &e);
	m = maker_of(a, &d, kb_craft(kb));
	text = (strview){arena_text(a, (const char *)data + 1, size - 1), size - 1};
	compile(a, m, model, text, data[0], &d);
	diags_print(&b, &d, false);
	buf_free(&b);
	maker_free(m);
	arena_free(a);
	return 0;
}
