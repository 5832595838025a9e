# gablebook -- make help tells the targets; DEVELOPERS.md the house.
#
# Knobs: PREFIX DESTDIR BUILD MODE=plain|asan|fuzz|cover CC CFLAGS LDFLAGS WERROR=-Werror V=1 ONLY=test_tag (run one suite)
#        JOBS=N (suites at once; default: a processor each)

PREFIX  ?= /usr/local
BUILD   ?= build
MODE    ?= plain
WERROR  ?=
ONLY    ?=
VERSION := 0.1.0
RELEASED := 2026-11-25
SOURCE_DATE_EPOCH ?= $(shell date -u -d $(RELEASED) +%s)
ZSH_FUNCTIONS ?= site-functions
SHELL   := /bin/sh
.DEFAULT_GOAL := all

# --- what the build and the tests need (Debian 12 names; .ci/need installs what is missing) ---
LIBS_NEEDED   := glib-2.0 gio-2.0 libexif libjpeg libpng sqlite3 libcrypto jansson libarchive pangocairo cairo-pdf fontconfig libqpdf lcms2
DOOR_LIBS     := libmicrohttpd
BUILD_PACKAGES := gcc pkg-config libglib2.0-dev libexif-dev libjpeg62-turbo-dev libsqlite3-dev libssl-dev libjansson-dev libarchive-dev \
                  libcairo2-dev libpango1.0-dev libqpdf-dev libmicrohttpd-dev libpng-dev libheif-dev liblcms2-dev
TEST_PACKAGES  := libcmocka-dev chromium curl desktop-file-utils ffmpeg fish libimage-exiftool-perl imagemagick libheif-examples man-db mandoc \
                  openjdk-17-jre-headless npm proj-bin shared-mime-info tzdata unzip zsh qpdf poppler-utils fonts-dejavu-core fonts-noto-core
PICTURE_PACKAGES := chromium imagemagick npm
PACKAGE_PACKAGES := binutils dpkg-dev lintian
BENCH_PACKAGES := libvips-tools libjpeg-turbo-progs imagemagick time libimage-exiftool-perl valgrind
LINT_PACKAGES  := clang-tidy cppcheck
FUZZ_PACKAGES := clang libclang-rt-dev
SCENE_PACKAGES := povray povray-includes imagemagick libimage-exiftool-perl

# --- flags ---
comma := ,
WARN := -Wall -Wextra -Wshadow -Wformat=2 -Wstrict-prototypes -Wmissing-prototypes -Wold-style-definition \
        -Wpointer-arith -Wwrite-strings -Wundef -Wvla -Wimplicit-fallthrough -Wnull-dereference -Wdouble-promotion \
        -Wduplicated-cond -Wlogical-op -Wredundant-decls
CFLAGS ?= -O2 -g
ifeq ($(MODE),asan)
MODE_FLAGS := -fsanitize=address,undefined -fno-sanitize-recover=undefined -fno-omit-frame-pointer -O1
else ifeq ($(MODE),fuzz)
# clang's, whose opinions differ: the warnings that count are gcc's in the other modes (and make lint)
WARN := -Wall -Wno-unused-variable
MODE_FLAGS := -fsanitize=fuzzer-no-link,address,undefined -fno-sanitize-recover=undefined -fno-omit-frame-pointer -O1
else ifeq ($(MODE),cover)
MODE_FLAGS := --coverage -fprofile-update=atomic -O0
else
MODE_FLAGS := -D_FORTIFY_SOURCE=2 -fstack-protector-strong -fPIE
MODE_LDFLAGS := -pie -Wl,-z,relro,-z,now
endif
# asked once, when first wanted
PKG_CFLAGS  = $(eval PKG_CFLAGS := $$(shell pkg-config --cflags $(LIBS_NEEDED)))$(PKG_CFLAGS)
PKG_LIBS    = $(eval PKG_LIBS := $$(shell pkg-config --libs $(LIBS_NEEDED)) -lm)$(PKG_LIBS)
GB_CFLAGS   = -std=gnu11 $(WARN) $(WERROR) $(CFLAGS) $(MODE_FLAGS) -D_FILE_OFFSET_BITS=64 -DG_LOG_DOMAIN='"gablebook"' \
              -DGB_VERSION='"$(VERSION)"' -DGB_RELEASED='"$(RELEASED)"' -ffile-prefix-map=$(CURDIR)=. -Iinclude -Isrc \
              -include src/base/banned.h $(PKG_CFLAGS) $(MORE_CFLAGS)
GB_LDFLAGS  = $(LDFLAGS) $(MODE_FLAGS) $(MODE_LDFLAGS)

# --- files: by wildcard, so that a new one needs no list ---
OUT      := $(BUILD)/$(MODE)
HEADERS  := $(wildcard include/gablebook/*.h)
LIB_SRC  := $(filter-out src/cli/% src/heic/% src/web/%,$(wildcard src/*/*.c))
DOOR_SRC := $(wildcard src/cli/*.c src/web/*.c)
HEIC_SRC := $(wildcard src/heic/*.c)
BUILTIN  := $(wildcard src/log/*.sql src/web/ui/* docs/glossary.md templates/*.html templates/*.ini templates/checklists/*.ini templates/report/*)
LIB_OBJ  := $(LIB_SRC:%.c=$(OUT)/%.o) $(OUT)/builtin-data.o
DOOR_OBJ  := $(DOOR_SRC:%.c=$(OUT)/%.o)
LIB      := $(OUT)/libgablebook.a
HEIC_OBJ := $(HEIC_SRC:%.c=$(OUT)/%.o)
PROGRAM  := $(OUT)/gablebook
HEIC     := $(OUT)/gablebook-heic
TEST_SRC := $(wildcard tests/test_*.c tests/e2e/test_*.c)
TEST_BIN := $(TEST_SRC:%.c=$(OUT)/%)

.PHONY: all torture bench demo demo-photos docs-pictures bench-suggest bench-desk bench-report bench-web check suites coverage fuzz fuzz-short fuzz-targets lint valgrind headers install install-program \
        install-library uninstall deb deb-check clean help need need-test need-package test-tools
.SUFFIXES:
.SECONDARY:
.DELETE_ON_ERROR:

all: $(PROGRAM) $(HEIC)

help:
	@echo 'make             build $(PROGRAM)'
	@echo 'make demo        install what is missing, build, make a claim from demo-photos/ and its report'
	@echo 'make check       install what is missing, build with warnings as errors, pass all tests (plain, then sanitizers)'
	@echo 'make torture     the long form of the tests of crashes, power cuts and faults (about an hour)'
	@echo 'make fuzz        fuzz each target for FUZZ_SECONDS=3600 (FUZZ=exif: that one alone)'
	@echo 'make lint        clang-tidy and cppcheck (some minutes)'
	@echo 'make coverage    which lines the tests reach, room by room (COVER=test_fault: of that suite)'
	@echo 'make valgrind    memcheck over the suites that touch memory most (some minutes)'
	@echo 'make bench       measure imports against vipsthumbnail and exiftool, and 10,000 photos (a quarter of an hour)'
	@echo 'make bench-suggest   measure the suggestions (half a minute)'
	@echo 'make bench-web   measure the sorting table, server and page (a few minutes)'
	@echo 'make docs-pictures   the pictures of docs/ anew, from the demo'
	@echo 'make bench-desk  measure many claims: 1,000 of 100 shots (some minutes the first time)'
	@echo 'make bench-report    measure the reports against vipsthumbnail (some minutes)'
	@echo 'make demo-photos render the demo photos again (POV-Ray; not needed for make demo)'
	@echo 'make install     PREFIX=$(PREFIX) DESTDIR='
	@echo 'make uninstall   the same PREFIX and DESTDIR'
	@echo 'make deb         a Debian package in $(BUILD)/deb/'
	@echo 'make deb-check   the package built twice, compared, and looked at by lintian'
	@echo 'make clean       remove $(BUILD)/'
	@echo 'Run one suite:   make suites ONLY=test_tag [MODE=asan]'

# --- what is missing gets installed, and says so first ---
need:
	@sh .ci/need $(BUILD_PACKAGES)
need-package:
	@sh .ci/need $(BUILD_PACKAGES) $(PACKAGE_PACKAGES)
need-test:
	@sh .ci/need $(BUILD_PACKAGES) $(TEST_PACKAGES)

# --- objects --- (V=1 shows the commands)
Q   := $(if $(V),,@)
say  = @printf '  %-5s%s\n' '$(1)' '$(2)'

$(OUT)/%.o: %.c
	@mkdir -p $(@D)
	$(call say,cc,$<)
	$(Q)$(CC) $(GB_CFLAGS) -MMD -MP -c $< -o $@

# Loops over pixels are worth vector code.
$(OUT)/src/photo/jpeg.o $(OUT)/src/photo/quality.o $(OUT)/src/photo/resample.o $(OUT)/src/photo/shrink.o: MODE_FLAGS += $(if $(filter plain,$(MODE)),-O3)

# Beyond POSIX: memfd_create, close_range.
$(OUT)/src/photo/child.o $(OUT)/src/heic/fence.o: MORE_CFLAGS := -D_GNU_SOURCE

# The files that are part of the program travel in it as a GResource.
$(OUT)/builtin.xml: $(BUILTIN) Makefile
	@mkdir -p $(@D)
	@{ echo '<gresources><gresource prefix="/gablebook">'; \
	   for f in $(sort $(BUILTIN)); do echo "<file>$$f</file>"; done; \
	   echo '</gresource></gresources>'; } > $@
$(OUT)/builtin-data.c: $(OUT)/builtin.xml $(BUILTIN)
	$(Q)glib-compile-resources --generate-source --c-name gb_builtin --sourcedir=. --target=$@ $<
$(OUT)/builtin-data.o: $(OUT)/builtin-data.c
	$(Q)$(CC) -std=gnu11 $(CFLAGS) -ffile-prefix-map=$(CURDIR)=. $(MODE_FLAGS) $(PKG_CFLAGS) -c $< -o $@

$(LIB): $(LIB_OBJ)
	@rm -f $@
	$(Q)$(AR) qcs $@ $^
$(PROGRAM): $(DOOR_OBJ) $(LIB)
	$(call say,link,$@)
	$(Q)$(CC) $(GB_LDFLAGS) $^ $(PKG_LIBS) $(shell pkg-config --libs $(DOOR_LIBS)) -o $@
# The decoder for HEIC is a program of its own, so that libheif is loaded only where a HEIC is met, and is fenced in there.
$(HEIC): $(HEIC_OBJ)
	$(call say,link,$@)
	$(Q)$(CC) $(GB_LDFLAGS) $^ $$(pkg-config --libs glib-2.0 libheif) -lm -o $@
$(HEIC_OBJ): MORE_CFLAGS += $(shell pkg-config --cflags libheif 2>/dev/null)

# --- tests ---
TEST_SUPPORT := $(patsubst %.c,$(OUT)/%.o,$(filter-out $(TEST_SRC),$(wildcard tests/*.c)))
$(OUT)/tests/%: $(OUT)/tests/%.o $(TEST_SUPPORT) $(LIB)
	$(call say,link,$@)
	$(Q)$(CC) $(GB_LDFLAGS) $^ $(PKG_LIBS) -lcmocka $(MORE_LIBS) -o $@
$(OUT)/tests/test_heic: MORE_LIBS := -lheif # writes HEIC files as phones do
$(OUT)/tests/test_colour.o $(OUT)/tests/test_fence.o $(OUT)/tests/test_heic.o: MORE_CFLAGS := -D_GNU_SOURCE

# Calls that test_fault.c makes fail.
FAULTS := g_try_malloc g_try_malloc0 g_try_malloc_n g_try_malloc0_n read pread64 write fsync rename memfd_create sqlite3_step sqlite3_prepare_v2 \
          sqlite3_exec sqlite3_open_v2 sqlite3session_create sqlite3session_attach sqlite3session_changeset sqlite3changeset_start \
          sqlite3changeset_next sqlite3changeset_invert sqlite3changeset_apply sqlite3_backup_step sqlite3_bind_text sqlite3_column_text sqlite3_value_text
$(OUT)/tests/test_fault: MORE_LIBS := $(patsubst %,-Wl$(comma)--wrap=%,$(FAULTS))
$(OUT)/tests/test_fault.o: MORE_CFLAGS := -D_GNU_SOURCE

# Every public header compiles alone.
headers: $(HEADERS:include/%.h=$(BUILD)/headers/%.ok)
$(BUILD)/headers/%.ok: include/%.h
	@mkdir -p $(@D)
	@printf '#include <%s>\n' '$*.h' | $(CC) -std=gnu11 $(WARN) -Werror -Iinclude $(PKG_CFLAGS) -x c -fsyntax-only - && touch $@

# Checkers that come from the npm registry; they stay in $(BUILD)/.
VNU := $(BUILD)/npm/node_modules/vnu-jar/build/dist/vnu.jar
BROWSER_TOOLS := $(BUILD)/npm/node_modules/playwright-core/package.json $(BUILD)/npm/node_modules/axe-core/axe.min.js
test-tools: $(VNU) $(BROWSER_TOOLS)
$(VNU):
	npm install --loglevel=error --no-audit --no-fund --ignore-scripts --prefix $(BUILD)/npm vnu-jar@26.9.27
	@test -f $@
# playwright-core drives the system's Chromium (it brings none); 1.60 is the last for Debian 12's Node 18.
$(BROWSER_TOOLS) &: | $(VNU)
	npm install --loglevel=error --no-audit --no-fund --ignore-scripts --prefix $(BUILD)/npm playwright-core@1.60.0 axe-core@4.14.1
	@touch $(BROWSER_TOOLS)

# --- fuzzing: hostile input made by libFuzzer, under the sanitizers. Each target is tests/fuzz/fuzz_NAME.c with seeds in corpus/NAME/ ---
# FUZZ_SECONDS each, one after the other (FUZZ=exif: that one alone); what is found new is kept in $(BUILD)/fuzz/found/ and goes on from there.
FUZZ ?=
FUZZ_SECONDS ?= 3600
FUZZ_SRC := $(wildcard tests/fuzz/fuzz_*.c)
FUZZ_OUT := $(BUILD)/fuzz
FUZZ_BIN := $(FUZZ_SRC:%.c=$(FUZZ_OUT)/%)
FUZZ_ENV := ASAN_OPTIONS=detect_leaks=1:allocator_may_return_null=1 UBSAN_OPTIONS=print_stacktrace=1 \
            LSAN_OPTIONS=suppressions=$(CURDIR)/tests/lsan.supp:print_suppressions=0
$(FUZZ_OUT)/tests/fuzz/%: $(FUZZ_OUT)/tests/fuzz/%.o $(FUZZ_OUT)/libgablebook.a
	$(call say,link,$@)
	$(Q)$(CC) $(GB_LDFLAGS) -fsanitize=fuzzer $(FUZZ_WRAP) $(filter %.o,$^) $(filter %.a,$^) $(PKG_LIBS) $(MORE_LIBS) -o $@
$(FUZZ_OUT)/tests/fuzz/fuzz_checklist.o: MORE_CFLAGS := -D_GNU_SOURCE
$(FUZZ_OUT)/tests/fuzz/fuzz_decoder: FUZZ_WRAP := $(patsubst %,-Wl$(comma)--wrap=gb_child_%,find start read free)
$(FUZZ_OUT)/tests/fuzz/fuzz_request: FUZZ_WRAP := $(patsubst %,-Wl$(comma)--wrap=MHD_%,lookup_connection_value get_connection_values \
    get_connection_info queue_response create_response_from_buffer_with_free_callback)
$(FUZZ_OUT)/tests/fuzz/fuzz_request: MORE_LIBS := -lmicrohttpd
$(FUZZ_OUT)/tests/fuzz/fuzz_request: $(filter-out %/server.o,$(patsubst %.c,$(FUZZ_OUT)/%.o,$(wildcard src/web/*.c)))
fuzz-targets: $(FUZZ_BIN)
fuzz fuzz-short: need
	@sh .ci/need $(FUZZ_PACKAGES)
	@$(MAKE) --no-print-directory fuzz-targets MODE=fuzz CC=clang WERROR=-Werror
	@$(FUZZ_ENV) sh tests/fuzz/run.sh $(FUZZ_OUT) $(if $(filter fuzz-short,$@),short,$(FUZZ_SECONDS)) $(FUZZ)

# --- looked at by others: clang-tidy (.clang-tidy) and cppcheck (tests/cppcheck.supp) ---
TIDY_FLAGS = -std=gnu11 -D_GNU_SOURCE -D_FILE_OFFSET_BITS=64 -DG_LOG_DOMAIN='"gablebook"' -DGB_VERSION='"$(VERSION)"' \
             -DGB_RELEASED='"$(RELEASED)"' -Iinclude -Isrc -include src/base/banned.h $(PKG_CFLAGS) $(shell pkg-config --cflags libheif)
lint: need
	@sh .ci/need $(LINT_PACKAGES)
	cppcheck --quiet -j $(JOBS) --enable=warning,portability,performance --std=c11 --error-exitcode=1 -Iinclude -Isrc --library=gtk \
	  --library=tests/cppcheck.cfg --suppressions-list=tests/cppcheck.supp -D__GNUC__ src
	@printf '%s\n' $(LIB_SRC) $(DOOR_SRC) $(HEIC_SRC) | xargs -P $(JOBS) -I FILE clang-tidy --quiet FILE -- $(TIDY_FLAGS) 2>$(BUILD)/lint.log || \
	  { cat $(BUILD)/lint.log; exit 1; }
	@echo 'lint: nothing to say'

# --- which lines the tests reach: gcc's counters, a table a room (COVER=test_fault: of one suite) ---
COVER ?=
coverage: need-test
	@sh .ci/need gcovr
	@$(MAKE) --no-print-directory suites MODE=cover ONLY='$(COVER)' || true
	@gcovr --root . --object-directory $(BUILD)/cover --filter src/ --exclude-throw-branches --gcov-ignore-parse-errors \
	  --csv $(BUILD)/coverage.csv --html-details $(BUILD)/coverage.html $(BUILD)/cover
	@awk -f tests/coverage.awk $(BUILD)/coverage.csv
	@echo 'line by line: $(BUILD)/coverage.html'

# --- memcheck over the suites that make no other processes and take no minutes; noise of libraries is in tests/valgrind.supp ---
VALGRIND_SUITES ?= test_exif test_jpeg test_png test_checklist test_template test_history test_tag test_finding test_import test_report test_pdf
valgrind: need-test
	@sh .ci/need valgrind
	@$(MAKE) --no-print-directory all $(VALGRIND_SUITES:%=$(BUILD)/plain/tests/%)
	@for t in $(VALGRIND_SUITES); do echo "valgrind: $$t"; \
	  GB_PROGRAM="$(abspath $(BUILD)/plain/gablebook)" GABLEBOOK_LIBEXEC="$(abspath $(BUILD)/plain)" GB_SOURCE="$(CURDIR)" GB_MODE=valgrind \
	  G_SLICE=always-malloc G_DEBUG=fatal-warnings valgrind --quiet --error-exitcode=9 --leak-check=full --errors-for-leak-kinds=definite \
	  --show-leak-kinds=definite --suppressions=tests/valgrind.supp $(BUILD)/plain/tests/$$t >$(BUILD)/valgrind.log 2>&1 || \
	  { cat $(BUILD)/valgrind.log; exit 1; }; done
	@echo 'valgrind: nothing to say'

check: need-test
	@$(MAKE) --no-print-directory test-tools headers
	@$(MAKE) --no-print-directory suites MODE=plain WERROR=-Werror
	@$(MAKE) --no-print-directory suites MODE=asan WERROR=-Werror
	@$(MAKE) --no-print-directory fuzz-short
	@echo 'check: all suites passed, plain and with sanitizers'

# What the suggestions are worth: measured on invented inspections and on the demo card; prints, and holds nothing up.
BENCH := $(OUT)/tests/bench/bench_suggest
$(BENCH): $(OUT)/tests/bench/bench_suggest.o $(OUT)/tests/inspection.o $(LIB)
	$(call say,link,$@)
	$(Q)$(CC) $(GB_LDFLAGS) $^ $(PKG_LIBS) -o $@
bench-suggest: need $(BENCH)
	@$(BENCH) --truth demo-photos/truth.csv $(BENCH_ARGS)

# What the sorting table costs: the server (the time of a tag, previews a second beside a static nginx on the same files), then the page.
BENCH_WEB := $(OUT)/tests/bench/bench_web
BENCH_WEB_PACKAGES := nginx-light wrk curl npm chromium
$(BENCH_WEB): $(OUT)/tests/bench/bench_web.o
	$(call say,link,$@)
	$(Q)$(CC) $(GB_LDFLAGS) $^ $(PKG_LIBS) -o $@
bench-web: need
	@sh .ci/need $(BENCH_WEB_PACKAGES)
	@$(MAKE) --no-print-directory $(PROGRAM) $(BENCH_WEB) $(BROWSER_TOOLS)
	@sh tests/bench/bench_web.sh $(abspath $(PROGRAM)) $(abspath $(BENCH_WEB)) $(BUILD)/bench-web
	@GB_NPM='$(abspath $(BUILD)/npm)' node tests/bench/bench_page.mjs $(abspath $(PROGRAM)) $(abspath $(BUILD)/bench-web)
# What many claims cost: 1,000 of 100 shots are made once, in about two minutes, and looked through.
BENCH_DESK := $(OUT)/tests/bench/bench_desk
$(BENCH_DESK): $(OUT)/tests/bench/bench_desk.o $(TEST_SUPPORT) $(LIB)
	$(call say,link,$@)
	$(Q)$(CC) $(GB_LDFLAGS) $^ $(PKG_LIBS) -lcmocka -o $@
bench-desk: need-test $(BENCH_DESK)
	@$(BENCH_DESK) $(BUILD)/bench-desk $(BENCH_ARGS)

# How fast a card is imported, against vipsthumbnail and exiftool on the same photos, and what 10,000 cost; prints, and holds nothing up.
bench:
	@sh .ci/need $(BUILD_PACKAGES) $(BENCH_PACKAGES)
	@$(MAKE) --no-print-directory all
	@sh tests/bench/bench_import.sh $(PROGRAM) demo-photos $(BUILD)/bench $(ROUNDS)
	@sh tests/bench/bench_scale.sh $(PROGRAM) demo-photos $(BUILD)/bench

# How fast reports are built, against vipsthumbnail on the same photos; prints, and holds nothing up.
bench-report:
	@sh .ci/need $(BUILD_PACKAGES) $(BENCH_PACKAGES)
	@$(MAKE) --no-print-directory all
	@sh tests/bench/bench_report.sh $(PROGRAM) demo-photos $(BUILD)/bench-report

# All suites of one mode, one a processor (JOBS=1: one after the other); goes on after a failure and fails at the end.
JOBS ?= $(shell nproc)
suites: $(PROGRAM) $(HEIC) $(TEST_BIN)
	@rm -f $(OUT)/suites.failed
	@for t in $(sort $(TEST_BIN)); do case "$(ONLY)" in ''|"$${t##*/}") echo "$$t";; esac; done | \
	  GB_PROGRAM="$(abspath $(PROGRAM))" GABLEBOOK_LIBEXEC="$(abspath $(OUT))" GB_SOURCE="$(CURDIR)" GB_VNU="$(abspath $(VNU))" \
	  GB_NPM="$(abspath $(BUILD)/npm)" GB_MODE=$(MODE) \
	  XDG_CONFIG_HOME="$(abspath $(OUT))/no-settings" XDG_CACHE_HOME="$(abspath $(OUT))/test-cache" \
	  G_DEBUG=fatal-warnings ASAN_OPTIONS=detect_leaks=1 LSAN_OPTIONS=suppressions=$(CURDIR)/tests/lsan.supp:print_suppressions=0 \
	  UBSAN_OPTIONS=print_stacktrace=1 xargs -r -n 1 -P $(JOBS) sh .ci/suite $(OUT)/suites || true
	@test ! -s $(OUT)/suites.failed || { echo 'failed:'; cat $(OUT)/suites.failed; exit 1; }

# What test_survive and its like do in their long form: every call of every command, thousands of edits at once. About an hour.
TORTURES := test_survive test_faults test_power test_crowd
torture: need-test
	@for t in $(TORTURES); do GB_TORTURE=1 SUITE_MOST=7200 $(MAKE) --no-print-directory suites ONLY=$$t || exit 1; done

# --- the demo ---
demo: need
	@$(MAKE) --no-print-directory all
	@sh demo-photos/demo.sh $(PROGRAM) demo-photos $(BUILD)/demo

# The pictures are kept in the repository; this makes them anew from their scene, in about 45 minutes.
demo-photos:
	@sh .ci/need $(SCENE_PACKAGES)
	cd demo-photos/scene && sh plan.sh ../truth.csv && OUT=.. sh render.sh && rm -rf tmp shots.csv

# The pictures of docs/, of the real pages.
docs-pictures: demo $(BROWSER_TOOLS)
	@sh .ci/need $(PICTURE_PACKAGES)
	@GB_NPM='$(abspath $(BUILD)/npm)' sh docs/pictures.sh $(PROGRAM) $(BUILD)/demo docs

# --- installing ---
# Everything that install puts down is in one of these lists, so uninstall takes away just that.
D := $(DESTDIR)$(PREFIX)
SHARE := $(D)/share
install: install-program install-library
install-program: all
	install -Dm 755 $(PROGRAM) '$(D)/bin/gablebook'
	install -Dm 755 $(HEIC) '$(D)/libexec/gablebook/gablebook-heic'
	install -d '$(SHARE)/man/man1' '$(SHARE)/gablebook' '$(SHARE)/doc/gablebook' '$(D)/libexec/gablebook'
	$(PROGRAM) help --man > '$(SHARE)/man/man1/gablebook.1'
	install -Dm 644 src/cli/completion/gablebook.bash '$(SHARE)/bash-completion/completions/gablebook'
	install -Dm 644 src/cli/completion/_gablebook '$(SHARE)/zsh/$(ZSH_FUNCTIONS)/_gablebook'
	install -Dm 644 src/cli/completion/gablebook.fish '$(SHARE)/fish/vendor_completions.d/gablebook.fish'
	install -Dm 644 src/package/gablebook.desktop '$(SHARE)/applications/gablebook.desktop'
	install -Dm 644 src/package/gablebook.svg '$(SHARE)/icons/hicolor/scalable/apps/gablebook.svg'
	install -Dm 644 src/package/gablebook.xml '$(SHARE)/mime/packages/gablebook.xml'
	cp -R templates '$(SHARE)/gablebook/'
	install -d '$(SHARE)/doc/gablebook/docs'
	install -m 644 README.md '$(SHARE)/doc/gablebook/'
	install -m 644 docs/*.md docs/*.png docs/*.webp '$(SHARE)/doc/gablebook/docs/'
	SOURCE_DATE_EPOCH=$(SOURCE_DATE_EPOCH) sh src/package/sbom.sh $(PROGRAM) $(HEIC) $(VERSION) > '$(SHARE)/doc/gablebook/sbom.spdx.json'
install-library: all
	install -d '$(D)/lib/pkgconfig' '$(D)/include/gablebook'
	install -m 644 $(LIB) '$(D)/lib/libgablebook.a'
	install -m 644 $(HEADERS) '$(D)/include/gablebook/'
	printf '%s\n' 'prefix=$(PREFIX)' 'Name: gablebook' 'Description: photo log and report of a property claim' \
	  'Version: $(VERSION)' 'Requires: $(LIBS_NEEDED)' 'Libs: -L$${prefix}/lib -lgablebook -lm' \
	  'Cflags: -I$${prefix}/include' > '$(D)/lib/pkgconfig/gablebook.pc'
uninstall:
	rm -f '$(D)/bin/gablebook' '$(D)/lib/libgablebook.a' '$(D)/lib/pkgconfig/gablebook.pc' '$(SHARE)/man/man1/gablebook.1' \
	  '$(SHARE)/bash-completion/completions/gablebook' '$(SHARE)/zsh/$(ZSH_FUNCTIONS)/_gablebook' \
	  '$(SHARE)/fish/vendor_completions.d/gablebook.fish' '$(SHARE)/applications/gablebook.desktop' \
	  '$(SHARE)/icons/hicolor/scalable/apps/gablebook.svg' '$(SHARE)/mime/packages/gablebook.xml'
	rm -rf '$(D)/include/gablebook' '$(D)/libexec/gablebook' '$(SHARE)/gablebook' '$(SHARE)/doc/gablebook'

# --- a Debian package ---
# The same sources give the same bytes: no path of the build is in the program, and every time is SOURCE_DATE_EPOCH.
DEB := $(BUILD)/deb
deb: need-package
	@$(MAKE) --no-print-directory all MODE=plain
	@rm -rf $(DEB)
	@umask 022 && $(MAKE) --no-print-directory install-program MODE=plain PREFIX=/usr DESTDIR=$(abspath $(DEB))/root ZSH_FUNCTIONS=vendor-completions >/dev/null
	@SOURCE_DATE_EPOCH=$(SOURCE_DATE_EPOCH) sh src/package/deb.sh $(DEB)/root $(DEB) $(VERSION)

# Built twice, in folders of different names, and compared; then lintian's opinion.
TWICE := $(BUILD)/twice
deb-check: need-package
	@rm -rf $(TWICE) && mkdir -p $(TWICE)/one $(TWICE)/another-name
	@for d in one another-name; do cp -R Makefile .ci README.md LICENSE src include templates docs $(TWICE)/$$d/ || exit 1; done
	@for d in one another-name; do $(MAKE) --no-print-directory -C $(TWICE)/$$d BUILD=build MODE=plain deb || exit 1; done
	@cmp $(TWICE)/one/build/deb/*.deb $(TWICE)/another-name/build/deb/*.deb && echo 'deb-check: the same bytes twice'
	@as=''; test "$$(id -u)" != 0 || as=--allow-root; lintian $$as --fail-on error $(TWICE)/one/build/deb/*.deb && echo 'deb-check: lintian has no errors'

clean:
	rm -rf '$(BUILD)'

-include $(LIB_OBJ:.o=.d) $(DOOR_OBJ:.o=.d) $(HEIC_OBJ:.o=.d) $(TEST_BIN:=.d) $(TEST_SUPPORT:.o=.d) $(BENCH:=.d) $(BENCH_WEB:=.d) $(BENCH_DESK:=.d) $(FUZZ_BIN:=.d)
