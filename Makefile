# SPDX-License-Identifier: GPL-3.0-or-later
#
# bodkin: plain make, no configure step.
#
#   make try      installs what is missing, builds, and runs two example projects
#   make test     installs what is missing, builds, and runs every test
#   DEPS=no       with either: look for the packages, install nothing
#   make install  builds, and puts program, database, manual pages, completion and
#                 guides under PREFIX; make uninstall takes them away again
#
# A new source file is added by name to the list of its room below.

# ---- settings -------------------------------------------------------------

CC       = gcc
CFLAGS   = -O2 -g
CPPFLAGS =
LDFLAGS  =
PREFIX   = /usr/local
DESTDIR  =
DEPS     = yes
B        = build

VERSION  = 0.1.0

STANDARD = -std=c11 -D_POSIX_C_SOURCE=200809L -ffp-contract=off
WARNINGS = -Wall -Wextra -Wconversion -Wsign-conversion -Wshadow -Wstrict-prototypes \
           -Wmissing-prototypes
HARDEN   = -fstack-protector-strong -fPIE
LINKHARD = -pie -Wl,-z,relro,-z,now
INCLUDES = -Isrc
LIBS     = -lsqlite3 -lyaml -lutf8proc -lreadline -lm

# ---- sources, room by room ------------------------------------------------

BASE      = alloc diag files json near sketch text unicode yaml yaml_explain
MEASURE   = dimension number range reading show unit
LANGUAGE  = alike cells compile craft decide dump emit eval lexer literal maker model order parser \
           reads resolve types verify
KNOWLEDGE = alike check_rules compile names open own own_folder phrase_forms read_brings read_drawings read_entries read_figures read_lists read_node read_order \
           read_rules read_same \
           read_schema read_settings read_sheets read_units read_words record search store symbols
PROJECT   = change check expand expand_bring expand_model list list_cells list_contents list_copy list_head model_check print terms words \
           words_aim words_fibres words_passing words_quantity words_roles words_scopes words_things words_tokens words_values \
           yaml_names yaml_places yaml_project yaml_value
JUDGE     = judge reasons trace verdict words
ADVISE    = advise place rank trouble weigh
WORK      = formula_text order steps sizes
PRESENT   = drawing drawing_chars drawing_svg drawing_text html html_style html_text page page_text terminal
AUDIT     = audit basis examples figures pins suggest sweep
COMMAND   = audit batch check check_copy check_json check_page check_settings check_short check_understood compile convert find \
           help json_parts list manual names order own own_layer report run schema schema_values section shape shells show suit table tell trouble why work_out \
           sizes
COMMAND  += handout handout_choose handout_json handout_page handout_terms handout_text \
            handout_draw handout_try
PROMPT    = complete line prompt talk
UNITTESTS = asked audit base damage drawing exam expand judge knowledge language list measure order own phrases present \
            project property questions standards trouble used
# how much of everything, and estimates
KNOWLEDGE += read_reckonings
WORK      += lay pack
COMMAND   += amounts estimate reckon suffices
UNITTESTS += amounts pack
UNITTESTS += handout
# papers made from the order of work, and their proof
KNOWLEDGE += read_instructions
WORK      += instruct proof proof_figures proof_measure proof_names proof_order proof_read
COMMAND   += order_seams order_instructions proof
UNITTESTS += proof

# bodkin-print makes PDF. It is a program of its own, so that bodkin itself links
# no library that draws; without cairo and pango all else is built.
PRINT     = blocks drawing finish main sheets table text
PRINTLIBS = pangocairo cairo-pdf
PRINTER  := $(if $(shell pkg-config --exists $(PRINTLIBS) 2>/dev/null && echo yes),$(B)/bodkin-print)

SOURCES = $(BASE:%=base/%) $(MEASURE:%=measure/%) $(LANGUAGE:%=language/%) \
          $(KNOWLEDGE:%=knowledge/%) $(PROJECT:%=project/%) $(JUDGE:%=judge/%) \
          $(ADVISE:%=advise/%) $(WORK:%=work/%) $(PRESENT:%=present/%) $(AUDIT:%=audit/%) \
          $(COMMAND:%=command/%) $(PROMPT:%=prompt/%)
# tables for print, drawings of constructions
COMMAND += convert_table draw
ROOMS   = base measure language knowledge project judge advise work present audit command prompt
OBJECTS = $(SOURCES:%=$(B)/obj/%.o)
MAIN    = $(B)/obj/main.o
TESTS   = $(UNITTESTS:%=$(B)/test/check_%)

# Text the database is compiled from: data, found by its folder.
KNOWLEDGE_TEXT = $(shell find kb rules -name '*.yaml' 2>/dev/null | LC_ALL=C sort)

# ---- building -------------------------------------------------------------

all: $(B)/bodkin $(B)/bodkin.db $(B)/project.schema.json $(PRINTER) pages

# Linked again as well when a file was taken off a list.
$(B)/bodkin: $(MAIN) $(OBJECTS) $(B)/list
	$(CC) $(CFLAGS) $(HARDEN) $(LDFLAGS) $(LINKHARD) -o $@ $(MAIN) $(OBJECTS) $(LIBS)

$(B)/bodkin.db: $(B)/bodkin $(KNOWLEDGE_TEXT)
	$(B)/bodkin compile kb rules -o $@

# What editors complete and check project files by.
$(B)/project.schema.json: $(B)/bodkin $(B)/bodkin.db
	$(B)/bodkin --kb $(B)/bodkin.db help -d schema > $@ || { rm -f $@; exit 1; }

# Manual pages and completion: text under docs/ with places for parts. What the
# tables of commands and options know the program prints; chapters of the guides
# are turned into mdoc.
PAGES  = $(MANUAL:%=$(B)/manual/%) $(SCRIPTS:%=$(B)/completion/%)
MANUAL = bodkin.1 bodkin-print.1 bodkin-project.5 bodkin-knowledge.5 bodkin-rules.5
SCRIPTS = bodkin.bash _bodkin bodkin.fish
FILL   = LC_ALL=C awk -f docs/build/fill.awk

pages: $(PAGES)

$(B)/parts/guides: docs/build/parts.awk $(wildcard docs/*.md)
	@mkdir -p $(@D)
	LC_ALL=C awk -f docs/build/parts.awk docs/*.md > $@
$(B)/parts/manual $(B)/parts/bash $(B)/parts/zsh $(B)/parts/fish: $(B)/bodkin $(B)/bodkin.db
	@mkdir -p $(@D)
	$(B)/bodkin --kb $(B)/bodkin.db help -d $(@F) > $@

$(B)/manual/%: docs/manual/%.mdoc docs/build/fill.awk $(B)/parts/guides $(B)/parts/manual
	@mkdir -p $(@D)
	$(FILL) $(B)/parts/guides $(B)/parts/manual $< > $@ || { rm -f $@; exit 1; }
$(B)/completion/bodkin.bash: $(B)/parts/bash
$(B)/completion/_bodkin: $(B)/parts/zsh
$(B)/completion/bodkin.fish: $(B)/parts/fish
$(B)/completion/%: docs/completion/% docs/build/fill.awk
	@mkdir -p $(@D)
	$(FILL) $(filter $(B)/parts/%,$^) $< > $@ || { rm -f $@; exit 1; }

# The program looks under PREFIX when nothing else tells where its database is.
$(B)/prefix: FORCE
	@mkdir -p $(@D)
	@echo '$(PREFIX)' | cmp -s - $@ || echo '$(PREFIX)' > $@
$(B)/obj/command/run.o: $(B)/prefix

$(B)/list: FORCE
	@mkdir -p $(@D)
	@echo '$(SOURCES) $(PRINT)' | cmp -s - $@ || echo '$(SOURCES) $(PRINT)' > $@
FORCE:

$(B)/obj/%.o: src/%.c
	@mkdir -p $(@D)
	$(CC) $(STANDARD) $(WARNINGS) $(CFLAGS) $(HARDEN) $(INCLUDES) $(CPPFLAGS) \
	    -DPREFIX='"$(PREFIX)"' -DVERSION='"$(VERSION)"' -MMD -MP -c -o $@ $<

PRINTOBJS = $(PRINT:%=$(B)/print/%.o) $(BASE:%=$(B)/obj/base/%.o) $(PRESENT:%=$(B)/obj/present/%.o)

$(B)/print/%.o: src/print/%.c
	@mkdir -p $(@D)
	$(CC) $(STANDARD) $(WARNINGS) $(CFLAGS) $(HARDEN) $(INCLUDES) $(CPPFLAGS) \
	    $$(pkg-config --cflags $(PRINTLIBS) | sed 's/-I/-isystem /g') -DVERSION='"$(VERSION)"' \
	    -MMD -MP -c -o $@ $<

$(B)/bodkin-print: $(PRINTOBJS) $(B)/list
	$(CC) $(CFLAGS) $(HARDEN) $(LDFLAGS) $(LINKHARD) -o $@ $(PRINTOBJS) \
	    $$(pkg-config --libs $(PRINTLIBS)) -lyaml -lutf8proc -lm

$(B)/test/check_%: tests/unit/check_%.c $(OBJECTS)
	@mkdir -p $(@D)
	$(CC) $(STANDARD) $(WARNINGS) $(CFLAGS) $(HARDEN) $(INCLUDES) -Itests/unit $(CPPFLAGS) \
	    -MMD -MP -MF $@.d $(LDFLAGS) $(LINKHARD) -o $@ $< $(OBJECTS) \
	    $$(pkg-config --cflags --libs check) $(LIBS)

# The exam is a program of its own over the same rooms; its matching has unit tests.
EXAMPARTS = count csv faults judged lists look_up match open pairings order projects stem twins values values_work
EXAMOBJS  = $(EXAMPARTS:%=$(B)/exam/%.o)

$(B)/exam/%.o: tests/exam/%.c
	@mkdir -p $(@D)
	$(CC) $(STANDARD) $(WARNINGS) $(CFLAGS) $(HARDEN) $(INCLUDES) $(CPPFLAGS) -MMD -MP -c -o $@ $<

$(B)/exam/exam: $(B)/exam/exam.o $(EXAMOBJS) $(OBJECTS) $(B)/list
	$(CC) $(CFLAGS) $(HARDEN) $(LDFLAGS) $(LINKHARD) -o $@ $(B)/exam/exam.o $(EXAMOBJS) $(OBJECTS) $(LIBS)

$(B)/test/check_exam: tests/unit/check_exam.c $(EXAMOBJS) $(OBJECTS)
	@mkdir -p $(@D)
	$(CC) $(STANDARD) $(WARNINGS) $(CFLAGS) $(HARDEN) $(INCLUDES) -Itests/exam $(CPPFLAGS) \
	    -MMD -MP -MF $@.d $(LDFLAGS) $(LINKHARD) -o $@ $< $(EXAMOBJS) $(OBJECTS) \
	    $$(pkg-config --cflags --libs check) $(LIBS)

-include $(PRINT:%=$(B)/print/%.d)
-include $(EXAMOBJS:.o=.d) $(B)/exam/exam.d
-include $(OBJECTS:.o=.d) $(MAIN:.o=.d) $(TESTS:%=%.d)

# ---- what a visitor needs -------------------------------------------------

try:
	@sh tests/deps.sh build $(DEPS)
	@$(MAKE) --no-print-directory -s all
	@sh tests/try.sh $(B)

test:
	@sh tests/deps.sh test $(DEPS)
	@$(MAKE) --no-print-directory -s all $(TESTS)
	@B=$(B) sh tests/run.sh

# ---- what a developer needs -----------------------------------------------

# Under a minute: unit tests and golden cases, no second build, no audit.
check-fast: all $(TESTS)
	@B=$(B) sh tests/run.sh unit cases

# Cases with known answers, counted: EXAM=FOLDER names them, else the demo rows.
exam: all $(B)/exam/exam
	@$(B)/exam/exam $(B)/bodkin.db tests/exam "$(EXAM)"

bless: all
	@B=$(B) sh tests/run.sh --bless
	@B=$(B) sh tests/readme.sh --bless

# Everything again under the address and undefined-behaviour checkers.
SANITIZED = CFLAGS="-O1 -g -fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer"
sanitize:
	@$(MAKE) --no-print-directory -s B=build/sanitize $(SANITIZED) sanitized
sanitized: all $(TESTS)
	@B=$(B) sh tests/run.sh unit cases input prompt schema

valgrind: all $(TESTS)
	@for t in $(TESTS); do \
	    echo "$$t"; \
	    valgrind -q --leak-check=full --errors-for-leak-kinds=definite --error-exitcode=1 "$$t" || exit 1; \
	done
	@valgrind -q --leak-check=full --errors-for-leak-kinds=definite --error-exitcode=99 \
	    $(B)/bodkin check tests/cases/check/lock-keepers-coat.yaml > /dev/null; test $$? -ne 99

# Which lines the tests run; needs gcovr.  The least covered files come last.
COVERED = CFLAGS="-O0 -g --coverage"
COVERAGE_PARTS = unit cases commands input prompt schema units
coverage:
	@command -v gcovr > /dev/null || { echo "make coverage needs the package gcovr"; exit 2; }
	@$(MAKE) --no-print-directory -s B=$(B)/coverage $(COVERED) covered
covered: all $(TESTS)
	@find $(B) -name '*.gcda' -delete
	@B=$(B) sh tests/run.sh $(COVERAGE_PARTS) || true
	@gcovr --root . --filter src/ --object-directory $(B)/obj --gcov-ignore-parse-errors \
	    --sort-percentage $(B)/obj

# Inputs made up by the machine, for so many seconds each; needs clang.
FUZZERS = proof list yaml words reading expression search knowledge database
FUZZING = CC=clang CFLAGS="-O2 -g -fsanitize=fuzzer-no-link,address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer"
FUZZ_SECONDS = 10
fuzz: all
	@$(MAKE) --no-print-directory -s B=$(B)/fuzz $(FUZZING) fuzzers
	@B=$(B) FUZZ_SECONDS=$(FUZZ_SECONDS) sh tests/fuzz.sh
fuzzers: $(FUZZERS:%=$(B)/fuzz_%)

$(B)/fuzz_%: tests/fuzz/fuzz_%.c tests/fuzz/fuzz.c tests/fuzz/fuzz.h $(OBJECTS)
	$(CC) $(STANDARD) $(WARNINGS) $(CFLAGS) $(HARDEN) $(INCLUDES) $(CPPFLAGS) -fsanitize=fuzzer \
	    $(LDFLAGS) $(LINKHARD) -Wl,--wrap=die -o $@ $< tests/fuzz/fuzz.c $(OBJECTS) $(LIBS)

lint:
	@B=$(B) sh tests/lint.sh '$(SOURCES) $(PRINT:%=print/%)'

bench: all
	@B=$(B) sh tests/bench.sh

# What is installed, and where below PREFIX: MODE:FILE:PLACE.
SHARE = share/bodkin
GUIDE = share/doc/bodkin
GOODS = 755:$(B)/bodkin:bin/bodkin \
        $(if $(PRINTER),755:$(PRINTER):libexec/bodkin/bodkin-print) \
        644:$(B)/bodkin.db:$(SHARE)/bodkin.db \
        644:$(B)/project.schema.json:$(SHARE)/project.schema.json \
        $(foreach p,$(MANUAL),644:$(B)/manual/$(p):share/man/man$(patsubst .%,%,$(suffix $(p)))/$(p)) \
        644:$(B)/completion/bodkin.bash:share/bash-completion/completions/bodkin \
        644:$(B)/completion/_bodkin:share/zsh/site-functions/_bodkin \
        644:$(B)/completion/bodkin.fish:share/fish/vendor_completions.d/bodkin.fish \
        $(foreach f,README.md LICENSE $(wildcard docs/*.md docs/*.json),644:$(f):$(GUIDE)/$(f)) \
        644:tests/cases/check/lock-keepers-coat.yaml:$(GUIDE)/examples/lock-keepers-coat.yaml \
        644:tests/cases/batch/projects.jsonl:$(GUIDE)/examples/projects.jsonl

install: all
	@sh docs/build/install.sh put '$(DESTDIR)$(PREFIX)' $(GOODS)

uninstall:
	@sh docs/build/install.sh remove '$(DESTDIR)$(PREFIX)' $(GOODS)

dist:
	@mkdir -p $(B)
	git archive --prefix=bodkin-$(VERSION)/ -o $(B)/bodkin-$(VERSION).tar.gz HEAD

clean:
	rm -rf build

.PHONY: all pages try test check-fast exam bless sanitize sanitized valgrind coverage covered fuzz fuzzers lint bench install \
        uninstall dist clean FORCE
