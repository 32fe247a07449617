/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The commands and the options, each in one table, and the command line read
 * by them.
 *
 * To add a command: write its file, declare its function in command_impl.h and
 * add a row.  Help, usage, the manual, completion in shells and at the prompt
 * all go by the row; its examples are the messages help.NAME.1 and on, since
 * they speak of the trade.
 * To add an option: a row in options, its letter in the rows of the commands
 * that take it, and a line in take().
 */
#define _GNU_SOURCE                        /* getopt_long */

#include "command/command_impl.h"

#include <getopt.h>
#include <string.h>
#include <unistd.h>

const char bodkin_version[] = VERSION;

const struct command commands[] = {
	{ .name = "check", .args = "FILE | --words TEXT", .run = command_check,
	  .help = "Check a project and explain every finding.",
	  .options = "wblysSaopL", .completes = COMPLETES_FILES,
	  .stages = "tokens,project,model,rules,trace,advise,page" },
	{ .name = "batch", .args = "[FILE]", .run = command_batch,
	  .help = "Check many projects: one JSON object a line in, one a line out, in order.",
	  .options = "J", .completes = COMPLETES_FILES, .stages = "" },
	{ .name = "show", .args = "NAME", .run = command_show,
	  .help = "Show one entry: what it is, its figures, and what they rest on.",
	  .options = "taopL", .completes = COMPLETES_ENTRIES,
	  .stages = "page", .at_prompt = true },
	{ .name = "find", .args = "WORDS", .run = command_find_words,
	  .help = "Find entries by words; a question about a setting is answered first.",
	  .options = "taopL", .stages = "page",
	  .at_prompt = true },
	{ .name = "why", .args = "RULE", .run = command_why,
	  .help = "Explain a rule or a piece of advice: when, what, why, and from where.",
	  .options = "aopL", .completes = COMPLETES_RULES,
	  .stages = "lex,parse,type,page" },
	{ .name = "list", .args = "[KIND]", .run = command_list,
	  .help = "List all entries of a kind, or the kinds there are.",
	  .completes = COMPLETES_KINDS, .among = "rules,advice,settings,formulas,units,sources",
	  .options = "opL", .stages = "page", .at_prompt = true },
	{ .name = "suit", .args = "FILE | --words TEXT", .run = command_suit,
	  .help = "Rank cloths for a project, or things to sew for a cloth, with reasons.",
	  .options = "waopL", .completes = COMPLETES_FILES, .stages = "page" },
	{ .name = "order", .args = "FILE | --words TEXT", .run = command_order,
	  .help = "Put the steps of a project in the order with the fewest changes.",
	  .options = "waopLEIY", .completes = COMPLETES_FILES,
	  .stages = "tokens,project,model,advise,page", .at_prompt = true },
	{ .name = "sizes", .args = "FILE | --words TEXT", .run = command_sizes,
	  .help = "Work out what to cut for each construction from its finished size, and back.",
	  .options = "waopL", .completes = COMPLETES_FILES,
	  .stages = "tokens,project,model,page", .at_prompt = true },
	{ .name = "handout", .args = "[FILE]", .run = command_handout,
	  .help = "Make a handout, worksheet or card: cloths side by side, with settings and exercises.",
	  .options = "wacFnPBKMYTGopL", .completes = COMPLETES_FILES,
	  .stages = "page", .at_prompt = true },
	{ .name = "amounts", .args = "FILE | --words TEXT", .run = command_amounts,
	  .help = "Work out how much a project takes, and what to buy.",
	  .options = "wNopL", .completes = COMPLETES_FILES,
	  .stages = "tokens,project,model,advise,page", .at_prompt = true },
	{ .name = "estimate", .args = "FILE | --words TEXT", .run = command_estimate,
	  .help = "Estimate seams, thickness, heat, shrinking and care, and how far to trust it.",
	  .options = "wopL", .completes = COMPLETES_FILES,
	  .stages = "tokens,project,model,advise,page", .at_prompt = true },
	{ .name = "proof", .args = "FILE", .run = command_proof,
	  .help = "Proofread a sheet of instructions: measures, order, materials, cautions.",
	  .options = "opL", .completes = COMPLETES_FILES, .stages = "tokens,page", .at_prompt = true },
	{ .name = "trouble", .args = "SYMPTOM", .run = command_trouble,
	  .help = "Find the causes of a fault, the likeliest first, with checks and remedies.",
	  .options = "iraopL", .stages = "tokens,model,page", .at_prompt = true },
	{ .name = "convert", .args = "QUANTITY UNIT", .run = command_convert,
	  .help = "Turn a quantity into another unit or numbering.",
	  .options = "opLXeR", .stages = "page", .at_prompt = true },
	{ .name = "work-out", .args = "FORMULA NAME=VALUE ...", .run = command_work_out,
	  .help = "Work out a formula.",
	  .completes = COMPLETES_FORMULAS,
	  .options = "opL", .stages = "lex,parse,type,page", .at_prompt = true },
	{ .name = "own", .args = "[start]", .run = command_own,
	  .help = "Tell what is in your own knowledge, check it, or begin it.",
	  .options = "aopL", .among = "start", .stages = "page" },
	{ .name = "compile", .args = "KB RULES -o FILE", .run = command_compile,
	  .help = "Make a database from the folders of knowledge and rules.",
	  .options = "oa",
	  .completes = COMPLETES_FILES, .stages = "" },
	{ .name = "audit", .args = "[examples|pins|sweep|twins|basis|suggest ...] [ID ...]",
	    .run = command_audit,
	  .help = "Prove that the knowledge does what its authors meant.",
	  .completes = COMPLETES_RULES, .among = "examples,pins,sweep,twins,basis,suggest",
	  .stages = "page" },
	{ .name = "help", .args = "[COMMAND]", .run = command_help,
	  .help = "Explain a command, or list them.",
	  .completes = COMPLETES_COMMANDS, .stages = "manual,bash,zsh,fish,names,schema" },
	{ .name = "version", .args = "", .run = command_version,
	  .help = "Print the versions of the program and of its knowledge.", .stages = "" },
	{ .name = NULL },
};

const struct option_row options[] = {
	{ 'w', true, false, "words", "TEXT", "the project in plain words",
	    COMPLETES_NOTHING, NULL },
	{ 'b', true, false, "brief", NULL, "one line for each finding",
	    COMPLETES_NOTHING, NULL },
	{ 'l', false, false, "lines", NULL,
	    "one line for each finding as editors take it: FILE:LINE:COLUMN: DEGREE: TEXT [RULE]",
	    COMPLETES_NOTHING, NULL },
	{ 's', true, false, "setting", "NAME", "answer one setting only",
	    COMPLETES_SETTINGS, NULL },
	{ 'S', false, false, "strict", NULL, "open questions count as findings",
	    COMPLETES_NOTHING, NULL },
	{ 'a', true, false, "all", NULL, "leave nothing out", COMPLETES_NOTHING, NULL },
	{ 't', true, false, "kind", "KIND", "keep to entries of one kind",
	    COMPLETES_KINDS, NULL },
	{ 'i', false, false, "with", "CONDITIONS", "cloth, needle, place and stage, in plain words",
	    COMPLETES_NOTHING, NULL },
	{ 'r', false, false, "tried", "WORDS", "what was tried already, commas between",
	    COMPLETES_NOTHING, NULL },
	{ 'E', false, false, "seams", NULL, "the plan of all seams in place of the steps",
	    COMPLETES_NOTHING, NULL },
	{ 'I', false, false, "instructions", NULL, "a sheet of instructions, as text to edit",
	    COMPLETES_NOTHING, NULL },
	{ 'N', false, false, "for", "N", "so many are made", COMPLETES_NOTHING, NULL },
	{ 'J', true, false, "jobs", "N", "work in N processes; left out: one for each core",
	    COMPLETES_NOTHING, NULL },
	{ 'y', false, false, "copy", "FILE", "write a checked copy of a list there, with columns added",
	    COMPLETES_FILES, NULL },
	{ 'o', true, false, "output", "FILE",
	    "write there; a report as .html, .pdf, .txt or .json by its name", COMPLETES_FILES, NULL },
	{ 'p', false, false, "paper", "SIZE", "paper of a report: A4, or Letter",
	    COMPLETES_NOTHING, "A4,Letter" },
	{ 'c', true, false, "cloths", "NAMES", "these cloths, commas between", COMPLETES_ENTRIES, NULL },
	{ 'F', false, false, "where", "CONDITION", "cloths for which it holds: weight < 120 g/m2",
	    COMPLETES_NOTHING, NULL },
	{ 'n', true, false, "most", "N", "so many cloths at most", COMPLETES_NOTHING, NULL },
	{ 'P', false, false, "sheet", "NAME", "which sheet or card", COMPLETES_SHEETS, NULL },
	{ 'B', false, false, "blank", "LINES", "leave these to be filled in, commas between; or all",
	    COMPLETES_NOTHING, NULL },
	{ 'K', false, false, "key", "FILE", "write what was left blank there", COMPLETES_FILES, NULL },
	{ 'M', false, false, "measures", "HABIT", "units to show: metric, inch or both",
	    COMPLETES_MEASURES, NULL },
	{ 'Y', false, false, "country", "REGION", "call things as people there do", COMPLETES_REGIONS,
	    NULL },
	{ 'T', false, false, "title", "TEXT", "head of the page", COMPLETES_NOTHING, NULL },
	{ 'G', false, false, "class", "TEXT", "line below it: class, room, date", COMPLETES_NOTHING,
	    NULL },
	{ 'L', false, false, "large", NULL, "a report in large print", COMPLETES_NOTHING, NULL },
	{ 'X', false, false, "table", NULL, "a table of a range of values, for print", COMPLETES_NOTHING,
	    NULL },
	{ 'e', false, false, "every", "STEP", "a row for every step, in the unit given",
	    COMPLETES_NOTHING, NULL },
	{ 'R', false, false, "round", "STEP", "round to it: 1/16, 1/8, 0.5", COMPLETES_NOTHING, NULL },
	{ 'k', true, true, "kb", "FILE", "use this database", COMPLETES_FILES, NULL },
	{ 'O', false, true, "without-own", NULL, "leave your own knowledge out",
	    COMPLETES_NOTHING, NULL },
	{ 'j', true, true, "json", NULL, "answer as JSON, for programs",
	    COMPLETES_NOTHING, NULL },
	{ 'd', true, true, "dump", "STAGE", "print what a stage produced, and nothing else",
	    COMPLETES_STAGES, NULL },
	{ 'C', false, true, "colour", "WHEN", "always, never, or auto",
	    COMPLETES_NOTHING, "auto,always,never" },
	{ 'W', false, true, "width", "CELLS", "wrap lines there; 0 never wraps",
	    COMPLETES_NOTHING, NULL },
	{ 'A', false, true, "ascii", NULL, "plain ASCII only", COMPLETES_NOTHING, NULL },
	{ 'h', true, true, "help", NULL, "explain the command", COMPLETES_NOTHING, NULL },
	{ 'V', false, true, "version", NULL, "print the version", COMPLETES_NOTHING, NULL },
	{ '\0', false, false, NULL, NULL, NULL, COMPLETES_NOTHING, NULL },
};

const struct word_row environment[] = {
	{"BODKIN_KB", "the database, unless --kb names one"},
	{"BODKIN_OWN", "folder of your own knowledge; empty: none"},
	{"BODKIN_HISTORY", "where the conversation keeps its lines; empty: nowhere"},
	{"BODKIN_ACCESSIBLE", "1: never colour, and drawings told in words"},
	{"NO_COLOR", "not empty: no colour"},
	{"CLICOLOR_FORCE", "not empty and not 0: colour in pipes too"},
	{"XDG_CONFIG_HOME", "folder under which your own knowledge lies"},
	{"XDG_CACHE_HOME", "folder under which it is kept compiled"},
	{"XDG_STATE_HOME", "folder under which the history lies"},
	{NULL, NULL},
};

const struct word_row exit_statuses[] = {
	{"0", "nothing grave or doubtful was found"},
	{"1", "findings, or nothing found by a look-up"},
	{"2", "could not run: the call, the input, or the machine"},
	{"3", "a fault of the program"},
	{NULL, NULL},
};

enum { OPTIONS = sizeof options / sizeof *options - 1 };

const struct command *
command_find(strview name)
{
	for (const struct command *c = commands; c->name != NULL; c++)
		if (sv_is(name, c->name))
			return c;
	return NULL;
}

bool
command_reports(const struct command *c)
{
	return c->options != NULL && strchr(c->options, 'p') != NULL;
}

/* ---- reading a command line -------------------------------------------------- */

static bool
complain(const char *what, strview subject, const struct near *near)
{
	struct buf b = {0};

	buf_print(&b, "bodkin: %s ", what);
	text_safe(&b, subject);
	for (int i = 0; near != NULL && i < near->n; i++)
		buf_print(&b, "%s%s", i == 0 ? "; did you mean " : " or ", near->name[i]);
	if (near != NULL && near->n > 0)
		buf_char(&b, '?');
	fprintf(stderr, "%s\nTry: bodkin help\n", b.p);
	buf_free(&b);
	return false;
}

static bool
unknown_command(strview name)
{
	struct near near = {0};

	if (access(name.p, F_OK) == 0)         /* a file, and the verb forgotten */
		return complain("say what to do with it, as in: bodkin check", name, NULL);
	for (const struct command *c = commands; c->name != NULL; c++)
		near_offer(&near, name, c->name);
	return complain("there is no command", name, &near);
}

static bool
unknown_option(const char *given)
{
	struct near near = {0};
	strview name = sv(given);
	char with[OPTIONS][24];

	if (!sv_starts(name, "--"))
		return complain("there is no option", name, NULL);
	name.n = strcspn(given, "=");
	for (size_t i = 0; i < OPTIONS; i++) {
		snprintf(with[i], sizeof with[i], "--%s", options[i].name);
		near_offer(&near, name, with[i]);
	}
	return complain("there is no option", name, &near);
}

static bool
width_read(const char *text, int *out)
{
	double x;
	size_t used;

	if (!number_read(sv(text), &used, &x) || text[used] != '\0' || x > 1000 ||
	    (x > 0 && x < 20) || x != (double)(int)x)
		return complain("a width is 0, or from 20 to 1000; not", sv(text), NULL);
	*out = (int)x;
	return true;
}

static bool
most_read(const char *text, int *out)
{
	double x;
	size_t used;

	if (!number_read(sv(text), &used, &x) || text[used] != '\0' || x < 1 || x > 60 ||
	    x != (double)(int)x)
		return complain("--most is a number from 1 to 60; not", sv(text), NULL);
	*out = (int)x;
	return true;
}

static bool
jobs_read(const char *text, int *out)
{
	double x;
	size_t used;

	if (!number_read(sv(text), &used, &x) || text[used] != '\0' || x < 1 || x > 64 ||
	    x != (double)(int)x)
		return complain("--jobs is a number from 1 to 64; not", sv(text), NULL);
	*out = (int)x;
	return true;
}

static bool
colour_read(const char *text, enum colour_wish *out)
{
	static const char *const wishes[] = {    /* the same words stand in the option's row */
		[COLOUR_AUTO] = "auto", [COLOUR_ALWAYS] = "always", [COLOUR_NEVER] = "never",
	};

	for (size_t i = 0; i < sizeof wishes / sizeof *wishes; i++) {
		if (strcmp(text, wishes[i]) == 0) {
			*out = (enum colour_wish)i;
			return true;
		}
	}
	return complain("--colour is always, never or auto; not", sv(text), NULL);
}

static bool
paper_read(const char *text, enum paper *out)
{
	for (int i = 0; i < PAPER__COUNT; i++) {
		if (strcmp(text, paper_names[i]) == 0) {
			*out = (enum paper)i;
			return true;
		}
	}
	return complain("--paper is A4 or Letter; not", sv(text), NULL);
}

static bool
take(struct request *r, int letter, const char *arg)
{
	switch (letter) {
	case 'w': r->words = arg; break;
	case 'b': r->brief = true; break;
	case 'l': r->lines = true; break;
	case 's': r->setting = arg; break;
	case 'S': r->strict = true; break;
	case 'a': r->all = true; break;
	case 't': r->kind = arg; break;
	case 'i': r->with = arg; break;
	case 'r': r->tried = arg; break;
	case 'c': r->cloths = arg; break;
	case 'F': r->where = arg; break;
	case 'n': return most_read(arg, &r->most);
	case 'P': r->sheet = arg; break;
	case 'B': r->blank = arg; break;
	case 'K': r->key = arg; break;
	case 'M': r->measures = arg; break;
	case 'Y': r->country = arg; break;
	case 'T': r->title = arg; break;
	case 'G': r->class_line = arg; break;
	case 'E': r->seams = true; break;
	case 'I': r->instructions = true; break;
	case 'N': r->copies = arg; break;
	case 'J': return jobs_read(arg, &r->jobs);
	case 'y': r->copy = arg; break;
	case 'o': r->out = arg; break;
	case 'p': return paper_read(arg, &r->paper);
	case 'X': r->table = true; break;
	case 'e': r->every = arg; break;
	case 'R': r->round = arg; break;
	case 'L': r->large = true; break;
	case 'k': r->kb = arg; break;
	case 'O': r->without_own = true; break;
	case 'j': r->json = true; break;
	case 'd': r->stages = arg; break;
	case 'C': return colour_read(arg, &r->colour);
	case 'W': return width_read(arg, &r->width);
	case 'A': r->ascii = true; break;
	case 'h': r->help = true; break;
	case 'V': r->version = true; break;
	}
	return true;
}

static const struct option_row *
option_of(int letter)
{
	for (size_t i = 0; i < OPTIONS; i++)
		if (options[i].letter == letter)
			return &options[i];
	return NULL;
}

/* An option given to a command that has no use for it is a mistake of the
 * user's that should not pass in silence. */
static bool
taken_by(const struct command *c, const bool given[256])
{
	char what[80];

	for (size_t i = 0; i < OPTIONS; i++) {
		const struct option_row *o = &options[i];

		if (!given[(unsigned char)o->letter] || o->common)
			continue;
		if (c != NULL && c->options != NULL && strchr(c->options, o->letter) != NULL)
			continue;
		snprintf(what, sizeof what, "--%s is not an option of", o->name);
		return complain(what, sv(c != NULL ? c->name : "the prompt"), NULL);
	}
	return true;
}

bool
request_read(struct request *r, struct arena *a, int argc, char **argv)
{
	struct option longs[OPTIONS + 1] = {{0}};
	char shorts[2 * OPTIONS + 3] = "-:";   /* words in order; a missing argument told apart */
	const char **args = arena_alloc(a, ((size_t)argc + 1) * sizeof *args);
	bool given[256] = {false}, good = true;
	size_t n = 2;
	int c;

	*r = (struct request){.width = -1, .args = args, .program = argc > 0 ? argv[0] : ""};
	for (size_t i = 0; i < OPTIONS; i++) {
		longs[i] = (struct option){options[i].name,
		    options[i].arg != NULL ? required_argument : no_argument, NULL, options[i].letter};
		if (!options[i].is_short)
			continue;
		shorts[n++] = options[i].letter;
		if (options[i].arg != NULL)
			shorts[n++] = ':';
	}
	shorts[n] = '\0';
	opterr = 0;
	optind = 0;                            /* a fresh start: the prompt reads many lines */
	while (good && (c = getopt_long(argc, argv, shorts, longs, NULL)) != -1) {
		if (c == 1 && r->command == NULL) {
			r->command = command_find(sv(optarg));
			good = r->command != NULL || unknown_command(sv(optarg));
		} else if (c == 1) {
			args[r->n_args++] = optarg;
		} else if (c == ':') {
			good = complain("something must follow", sv(argv[optind - 1]), NULL);
		} else if (c == '?') {
			char one[3] = {'-', (char)optopt, '\0'};

			if (optopt > 0 && option_of(optopt) != NULL && argv[optind - 1][1] == '-')
				good = complain("nothing may follow", sv(argv[optind - 1]), NULL);
			else
				good = unknown_option(optopt > 0 ? one : argv[optind - 1]);
		} else {
			given[c & 0xff] = true;
			good = take(r, c, optarg);
		}
	}
	for (; good && optind < argc; optind++) {
		if (r->command == NULL) {
			r->command = command_find(sv(argv[optind]));
			good = r->command != NULL || unknown_command(sv(argv[optind]));
		} else {
			args[r->n_args++] = argv[optind];
		}
	}
	if (good && r->command == NULL && (r->help || r->version))
		r->command = command_find(r->help ? SV("help") : SV("version"));
	return good && (r->help || taken_by(r->command, given));
}
