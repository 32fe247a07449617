/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What is reckoned up for a project: how much of each thing it takes and what
 * of it is bought, what can be estimated of its parts, and which pieces are
 * laid on what.
 *
 * The figures are properties of the schema; these items only say which of them
 * make a line of which page, and in what words it is asked for.
 */
#include "knowledge/knowledge_impl.h"

static const char *const reckoning_keys[] = {"!reckoning", "!page", "!heading", "!each", "when",
	"need", "buy", "have", "as range", "shows", "shop", "says", "!source", "note", NULL};
static const char *const laying_keys[] = {"!laying", "!each", "when", "!onto", "!across", "!along",
	"!count", "turned", "!roll", "!gives", "note", NULL};

enum { LAYINGS_MOST = 8, RECKONINGS_MOST = 64 };

static struct scope
seen_by(struct compiler *c, uint32_t kind)
{
	struct scope s = {.n_variables = 1, .formula = NONE, .for_property = NONE};

	s.variable_kind[0] = (uint16_t)kind;
	s.variable_name[0] = kept(c, sv(craft_text(maker_view(c->m), maker_at_kind(c->m, kind)->name)));
	return s;
}

static uint32_t
program(struct compiler *c, const struct node *item, const char *key, uint32_t kind,
    const struct expected *what)
{
	struct scope scope = seen_by(c, kind);
	const struct node *n = node_get(item, key);

	if (n == NULL || !is_text(c, n, key))
		return NONE;
	return compile_expression(c, n, 0, &scope, what);
}

/* A property of the kind; QUANTITY: it must be one. NO16 with a message, or where the
 * key is not there. */
static uint16_t
property(struct compiler *c, const struct node *n, uint32_t kind, bool quantity)
{
	uint32_t p;

	if (n == NULL || !is_text(c, n, "a property"))
		return NO16;
	p = find_property(c, n, kind, sv_trim(n->text));
	if (p == NONE)
		return NO16;
	if (quantity && maker_at_property(c->m, p)->type != TYPE_QUANTITY) {
		diag(c->ds, n->place, D_RECKON_NO_QUANTITY, kept(c, sv_trim(n->text)));
		return NO16;
	}
	return (uint16_t)p;
}

static bool
page_of(struct compiler *c, const struct node *item, uint8_t *out)
{
	static const char *const names[RECKON__COUNT] = {
		[RECKON_AMOUNTS] = "amounts", [RECKON_ESTIMATE] = "estimate",
	};
	const struct node *n = node_get(item, "page");

	if (!is_text(c, n, "page"))
		return false;
	for (uint8_t i = 0; i < RECKON__COUNT; i++)
		if (sv_is(sv_trim(n->text), names[i])) {
			*out = i;
			return true;
		}
	diag(c->ds, n->place, D_RECKON_PAGE, kept(c, sv_trim(n->text)));
	return false;
}

static void
reckoning(struct compiler *c, const struct node *item)
{
	const struct node *name = item->type == NODE_MAP ? node_get(item, "reckoning") : NULL;
	const struct node *each = item->type == NODE_MAP ? node_get(item, "each") : NULL;
	const struct node *shop = item->type == NODE_MAP ? node_get(item, "shop") : NULL;
	struct expected truth = {.type = TYPE_TRUTH};
	struct reckoning r = {.when = NONE};
	struct scope scope;
	struct texts shows;
	uint32_t kind;

	if (!keys_known(c, item, "a reckoning", reckoning_keys) || !is_text(c, name, "reckoning") ||
	    !is_text(c, each, "each") || !page_of(c, item, &r.page))
		return;
	if ((kind = find_kind(c, each, sv_trim(each->text))) == NONE ||
	    !new_name(c, &c->reckonings, "a reckoning", name, sv_trim(name->text),
	    maker_view(c->m)->n_reckoning))
		return;
	if (maker_view(c->m)->n_reckoning == RECKONINGS_MOST) {
		diag(c->ds, name->place, D_TOO_MANY, "reckonings", "64");
		return;
	}
	r.name = maker_text(c->m, sv_trim(name->text));
	r.heading = get_text_at(c, item, "heading");
	r.says = get_text_at(c, item, "says");
	r.each = (uint16_t)kind;
	r.when = program(c, item, "when", kind, &truth);
	r.as_range = get_yes(c, item, "as range", false);
	r.need = property(c, node_get(item, "need"), kind, true);
	r.buy = property(c, node_get(item, "buy"), kind, true);
	r.have = property(c, node_get(item, "have"), kind, true);
	shows = get_texts(c, item, "shows");
	if (shows.n > RECKON_SHOWS_MOST)
		diag(c->ds, shows.node[RECKON_SHOWS_MOST]->place, D_TOO_MANY, "properties under shows", "8");
	for (uint32_t i = 0; i < shows.n && r.n_shows < RECKON_SHOWS_MOST; i++) {
		uint16_t p = property(c, shows.node[i], kind, false);

		if (p != NO16)
			r.shows[r.n_shows++] = p;
	}
	scope = seen_by(c, kind);
	if (shop != NULL && is_text(c, shop, "shop"))
		message_compile(c->m, shop->text, text_place(shop, 0, shop->text.n), &scope, &r.shop);
	r.n_sources = read_cited(c, item, &r.first_source);
	maker_add_reckoning(c->m, &r, 1);
}

static void
laying(struct compiler *c, const struct node *item)
{
	const struct node *name = item->type == NODE_MAP ? node_get(item, "laying") : NULL;
	const struct node *each = item->type == NODE_MAP ? node_get(item, "each") : NULL;
	const struct node *onto = item->type == NODE_MAP ? node_get(item, "onto") : NULL;
	struct expected truth = {.type = TYPE_TRUTH};
	struct expected length = {.type = TYPE_QUANTITY, .dim = {.length = 6}};
	struct expected number = {.type = TYPE_QUANTITY};
	struct laying l = {.when = NONE};
	uint32_t kind, p;

	if (!keys_known(c, item, "a laying", laying_keys) || !is_text(c, name, "laying") ||
	    !is_text(c, each, "each") || !is_text(c, onto, "onto"))
		return;
	if ((kind = find_kind(c, each, sv_trim(each->text))) == NONE ||
	    !new_name(c, &c->layings, "a laying", name, sv_trim(name->text),
	    maker_view(c->m)->n_laying))
		return;
	if (maker_view(c->m)->n_laying == LAYINGS_MOST) {
		diag(c->ds, name->place, D_TOO_MANY, "layings", "8");
		return;
	}
	if ((p = find_property(c, onto, kind, sv_trim(onto->text))) == NONE)
		return;
	if (maker_at_property(c->m, p)->type != TYPE_REF) {
		diag(c->ds, onto->place, D_ORDER_NO_REFERENCE, kept(c, sv_trim(onto->text)));
		return;
	}
	l.name = maker_text(c->m, sv_trim(name->text));
	l.each = (uint16_t)kind;
	l.onto = (uint16_t)p;
	l.roll = property(c, node_get(item, "roll"), maker_at_property(c->m, p)->ref_kind, true);
	l.gives = property(c, node_get(item, "gives"), maker_at_property(c->m, p)->ref_kind, true);
	l.when = program(c, item, "when", kind, &truth);
	l.across = program(c, item, "across", kind, &length);
	l.along = program(c, item, "along", kind, &length);
	l.count = program(c, item, "count", kind, &number);
	l.turned = program(c, item, "turned", kind, &truth);
	if (l.roll != NO16 && l.gives != NO16 && l.across != NONE && l.along != NONE && l.count != NONE)
		maker_add_laying(c->m, &l, 1);
}

void
read_reckonings(struct compiler *c)
{
	each_item(c, "reckonings", reckoning);
	each_item(c, "layings", laying);
}
