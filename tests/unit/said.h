/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * For tests of what comes after reading: a knowledge base compiled on the
 * spot, and projects put together by name instead of being read.
 */
#ifndef BODKIN_TEST_SAID_H
#define BODKIN_TEST_SAID_H

#include <check.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#include "project/project.h"

static struct arena *arena;
static struct knowledge *kb;
static const struct craft *craft;
static struct project *said;
static struct diags complaints;

static void
kb_from(const char *kb_folder, const char *rules_folder)
{
	char path[] = "check-kb-XXXXXX";
	int fd = mkstemp(path);
	struct buf b = { 0 };
	const char *why = "";
	bool fine;

	ck_assert_int_ge(fd, 0);
	close(fd);
	arena = arena_new();
	diags_init(&complaints, arena);
	fine = kb_compile(kb_folder, rules_folder, path, &complaints);
	diags_print(&b, &complaints, false);
	if (!fine)
		unlink(path);
	ck_assert_msg(fine, "%.1500s", b.p ? b.p : "");
	buf_free(&b);
	kb = kb_open(path, &why);
	unlink(path);
	ck_assert_msg(kb != NULL, "%s", why);
	craft = kb_craft(kb);
}

/* The shipped knowledge, as it was built. */
static void
open_built(void)
{
	const char *b = getenv("B"), *why = "";

	arena = arena_new();
	kb = kb_open(arena_print(arena, "%s/bodkin.db", b != NULL ? b : "build"), &why);
	ck_assert_msg(kb != NULL, "%s", why);
	craft = kb_craft(kb);
}

static void
kb_done(void)
{
	kb_close(kb);
	arena_free(arena);
}

static void
say_nothing(void)
{
	said = arena_alloc(arena, sizeof *said);
	said->arena = arena;
	said->title = "";
	said->asked = said->asked_scope = NONE;
	said->things = arena_alloc(arena, 64 * sizeof *said->things);
	said->values = arena_alloc(arena, 64 * sizeof *said->values);
	said->cap_things = said->cap_values = 64;
}

static uint32_t
entry_named(const char *name)
{
	uint32_t e = kb_entry_find(craft, sv(name), NULL);

	ck_assert_msg(e != NONE, "no entry %s", name);
	return e;
}

static uint16_t
role_named(const char *role)
{
	uint32_t w = word_find(craft, set_find(craft, SV("role")), sv(role));

	ck_assert_msg(w != NONE, "no role %s", role);
	return (uint16_t)w;
}

/* A thing of KIND: ENTRY may be NULL (nameless), ROLE too. */
static uint32_t
say_thing(const char *kind, const char *entry, const char *role)
{
	struct said_thing *t = &said->things[said->n_things];

	*t = (struct said_thing){ .entry = entry ? entry_named(entry) : NONE, .count = 1,
	    .role = role ? role_named(role) : NO16, .of = NONE };
	t->kind = (uint16_t)kind_find(craft, sv(kind));
	return said->n_things++;
}

static uint32_t
property_named(const char *kind, const char *name)
{
	uint32_t p = property_find(craft, kind_find(craft, sv(kind)), sv(name));

	ck_assert_msg(p != NONE, "no property %s.%s", kind, name);
	return p;
}

static struct said_value *
say_value(uint32_t thing, const char *kind, const char *property, value v)
{
	struct said_value *s = &said->values[said->n_values++];

	*s = (struct said_value){ .thing = thing, .property = property_named(kind, property),
	    .value = v, .scope_entry = NONE, .scope_thing = NONE, .unit = -1 };
	return s;
}

static struct said_value *
say_range(uint32_t thing, const char *kind, const char *property, double lo, double hi)
{
	return say_value(thing, kind, property, (value){ .r = { lo, hi }, .state = VALUE_KNOWN });
}

static struct said_value *
say_word(uint32_t thing, const char *kind, const char *property, const char *word)
{
	uint32_t p = property_named(kind, property);
	uint32_t w = word_find(craft, craft->property[p].word_set, sv(word));
	value v = { .state = VALUE_KNOWN };

	ck_assert_msg(w != NONE, "no word %s", word);
	v.set[0] = v.set[1] = 0;
	v.set[w >> 6] = (uint64_t)1 << (w & 63);
	return say_value(thing, kind, property, v);
}

static struct model *
expanded(void)
{
	const char *culprit = NULL;
	struct model *m = model_expand(arena, kb, said, &complaints);

	ck_assert_msg(model_check(m, &culprit), "%s", culprit ? culprit : "");
	return m;
}

/* The NTH object of that kind and name in the model's lists, or NONE. */
static uint32_t
object_named(const struct model *m, const char *kind, const char *name, unsigned nth)
{
	for (uint32_t o = m->first_of_kind[kind_find(craft, sv(kind))]; o != NONE;
	    o = m->objects[o].next)
		if (strcmp(object_name(m, o), name) == 0 && nth-- == 0)
			return o;
	return NONE;
}

static const value *
slot_of(const struct model *m, uint32_t object, const char *property)
{
	uint32_t p;

	ck_assert_msg(object != NONE, "no object to look for %s in", property);
	p = property_find(craft, m->objects[object].kind, sv(property));
	ck_assert_msg(p != NONE, "no property %s", property);
	return model_slot(m, object, p);
}

static const struct pedigree *
pedigree_at(const struct model *m, uint32_t object, const char *property)
{
	return &m->pedigrees[slot_of(m, object, property)->pedigree];
}

static void
unused(void)
{
	/* a test need not say everything */
	(void)say_word;
	(void)say_range;
	(void)pedigree_at;
	(void)object_named;
	(void)expanded;
	(void)say_thing;
	(void)open_built;
	(void)say_nothing;
	(void)kb_from;
	(void)unused;
}

#endif
