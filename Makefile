# gablebook -- make help tells the targets; DEVELOPERS.md the house.
#
# Knobs: PREFIX DESTDIR BUILD MODE=plain|asan CC CFLAGS LDFLAGS WERROR=-Werror V=1 ONLY=test_tag (run one suite)

PREFIX  ?= /usr/local
BUILD   ?= build
MODE    ?= plain
WERROR  ?=
ONLY    ?=
VERSION := 0.1.0
SHELL   := /bin/sh
.DEFAULT_GOAL := all

# --- what the build and the tests need (Debian 12 names; .ci/need installs what is missing) ---
LIBS_NEEDED   := glib-2.0 gio-2.0 libexif libjpeg sqlite3 libcrypto jansson libarchive
DOOR_LIBS     := libmicrohttpd
BUILD_PACKAGES := gcc pkg-config libglib2.0-dev libexif-dev libjpeg62-turbo-dev libsqlite3-dev libssl-dev libjansson-dev libarchive-dev \
                  libmicrohttpd-dev
TEST_PACKAGES  := libcmocka-dev chromium curl libimage-exiftool-perl imagemagick openjdk-17-jre-headless npm proj-bin tzdata unzip
SCENE_PACKAGES := povray povray-includes imagemagick libimage-exiftool-perl

# --- flags ---
WARN := -Wall -Wextra -Wshadow -Wformat=2 -Wstrict-prototypes -Wmissing-prototypes -Wold-style-definition \
        -Wpointer-arith -Wwrite-strings -Wundef -Wvla -Wimplicit-fallthrough -Wnull-dereference -Wdouble-promotion \
        -Wduplicated-cond -Wlogical-op -Wredundant-decls
CFLAGS ?= -O2 -g
ifeq ($(MODE),asan)
MODE_FLAGS := -fsanitize=address,undefined -fno-sanitize-recover=undefined -fno-omit-frame-pointer -O1
else
MODE_FLAGS := -D_FORTIFY_SOURCE=2 -fstack-protector-strong -fPIE
MODE_LDFLAGS := -pie -Wl,-z,relro,-z,now
endif
# asked once, when first wanted
PKG_CFLAGS  = $(eval PKG_CFLAGS := $$(shell pkg-config --cflags $(LIBS_NEEDED)))$(PKG_CFLAGS)
PKG_LIBS    = $(eval PKG_LIBS := $$(shell pkg-config --libs $(LIBS_NEEDED)) -lm)$(PKG_LIBS)
GB_CFLAGS   = -std=gnu11 $(WARN) $(WERROR) $(CFLAGS) $(MODE_FLAGS) -D_FILE_OFFSET_BITS=64 -DG_LOG_DOMAIN='"gablebook"' \
              -DGB_VERSION='"$(VERSION)"' -Iinclude -Isrc -include src/base/banned.h $(PKG_CFLAGS)
GB_LDFLAGS  = $(LDFLAGS) $(MODE_FLAGS) $(MODE_LDFLAGS)

# --- files: by wildcard, so that a new one needs no list ---
OUT      := $(BUILD)/$(MODE)
HEADERS  := $(wildcard include/gablebook/*.h)
LIB_SRC  := $(filter-out src/cli/% src/web/%,$(wildcard src/*/*.c))
DOOR_SRC := $(wildcard src/cli/*.c src/web/*.c)
BUILTIN  := $(wildcard src/log/*.sql src/web/ui/* templates/*.ini templates/checklists/*.ini templates/report/*)
LIB_OBJ  := $(LIB_SRC:%.c=$(OUT)/%.o) $(OUT)/builtin-data.o
DOOR_OBJ  := $(DOOR_SRC:%.c=$(OUT)/%.o)
LIB      := $(OUT)/libgablebook.a
PROGRAM  := $(OUT)/gablebook
TEST_SRC := $(wildcard tests/test_*.c tests/e2e/test_*.c)
TEST_BIN := $(TEST_SRC:%.c=$(OUT)/%)

.PHONY: all demo demo-photos bench-suggest bench-web check suites headers install uninstall clean help need need-test test-tools
.SUFFIXES:
.SECONDARY:
.DELETE_ON_ERROR:

all: $(PROGRAM)

help:
	@echo 'make             build $(PROGRAM)'
	@echo 'make demo        install what is missing, build, make a claim from demo-photos/ and its report'
	@echo 'make check       install what is missing, build with warnings as errors, pass all tests (plain, then sanitizers)'
	@echo 'make bench-suggest   measure the suggestions (half a minute)'
	@echo 'make bench-web   measure the sorting table, server and page (a few minutes)'
	@echo 'make demo-photos render the demo photos again (POV-Ray; not needed for make demo)'
	@echo 'make install     PREFIX=$(PREFIX) DESTDIR='
	@echo 'make uninstall   the same PREFIX and DESTDIR'
	@echo 'make clean       remove $(BUILD)/'
	@echo 'Run one suite:   make suites ONLY=test_tag [MODE=asan]'

# --- what is missing gets installed, and says so first ---
need:
	@sh .ci/need $(BUILD_PACKAGES)
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
$(OUT)/src/photo/jpeg.o $(OUT)/src/photo/quality.o $(OUT)/src/photo/resample.o: MODE_FLAGS += $(if $(filter plain,$(MODE)),-O3)

# The files that are part of the program travel in it as a GResource.
$(OUT)/builtin.xml: $(BUILTIN) Makefile
	@mkdir -p $(@D)
	@{ echo '<gresources><gresource prefix="/gablebook">'; \
	   for f in $(sort $(BUILTIN)); do echo "<file>$$f</file>"; done; \
	   echo '</gresource></gresources>'; } > $@
$(OUT)/builtin-data.c: $(OUT)/builtin.xml $(BUILTIN)
	$(Q)glib-compile-resources --generate-source --c-name gb_builtin --sourcedir=. --target=$@ $<
$(OUT)/builtin-data.o: $(OUT)/builtin-data.c
	$(Q)$(CC) -std=gnu11 $(CFLAGS) $(MODE_FLAGS) $(PKG_CFLAGS) -c $< -o $@

$(LIB): $(LIB_OBJ)
	@rm -f $@
	$(Q)$(AR) qcs $@ $^
$(PROGRAM): $(DOOR_OBJ) $(LIB)
	$(call say,link,$@)
	$(Q)$(CC) $(GB_LDFLAGS) $^ $(PKG_LIBS) $(shell pkg-config --libs $(DOOR_LIBS)) -o $@

# --- tests ---
TEST_SUPPORT := $(patsubst %.c,$(OUT)/%.o,$(filter-out $(TEST_SRC),$(wildcard tests/*.c)))
$(OUT)/tests/%: $(OUT)/tests/%.o $(TEST_SUPPORT) $(LIB)
	$(call say,link,$@)
	$(Q)$(CC) $(GB_LDFLAGS) $^ $(PKG_LIBS) -lcmocka -o $@

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

check: need-test
	@$(MAKE) --no-print-directory test-tools headers
	@$(MAKE) --no-print-directory suites MODE=plain WERROR=-Werror
	@$(MAKE) --no-print-directory suites MODE=asan WERROR=-Werror
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

# All suites of one mode, one after the other; goes on after a failure and fails at the end.
suites: $(PROGRAM) $(TEST_BIN)
	@failed=''; for t in $(sort $(TEST_BIN)); do \
	  case "$(ONLY)" in ''|"$${t##*/}") ;; *) continue;; esac; \
	  echo "--- $$t"; \
	  GB_PROGRAM="$(abspath $(PROGRAM))" GB_SOURCE="$(CURDIR)" GB_VNU="$(abspath $(VNU))" GB_NPM="$(abspath $(BUILD)/npm)" GB_MODE=$(MODE) \
	  G_DEBUG=fatal-warnings ASAN_OPTIONS=detect_leaks=1 LSAN_OPTIONS=suppressions=$(CURDIR)/tests/lsan.supp:print_suppressions=0 \
	  UBSAN_OPTIONS=print_stacktrace=1 "$$t" || failed="$$failed $$t"; \
	done; test -z "$$failed" || { echo "failed:$$failed"; exit 1; }

# --- the demo ---
demo: need
	@$(MAKE) --no-print-directory all
	@sh demo-photos/demo.sh $(PROGRAM) demo-photos $(BUILD)/demo

# The pictures are kept in the repository; this makes them anew from their scene, in about 45 minutes.
demo-photos:
	@sh .ci/need $(SCENE_PACKAGES)
	cd demo-photos/scene && sh plan.sh ../truth.csv && OUT=.. sh render.sh && rm -rf tmp shots.csv

# --- installing ---
D := $(DESTDIR)$(PREFIX)
install: all
	install -d '$(D)/bin' '$(D)/lib/pkgconfig' '$(D)/include/gablebook' '$(D)/share/gablebook'
	install -m 755 $(PROGRAM) '$(D)/bin/gablebook'
	install -m 644 $(LIB) '$(D)/lib/libgablebook.a'
	install -m 644 $(HEADERS) '$(D)/include/gablebook/'
	cp -R templates '$(D)/share/gablebook/'
	printf '%s\n' 'prefix=$(PREFIX)' 'Name: gablebook' 'Description: photo log and report of a property claim' \
	  'Version: $(VERSION)' 'Requires: $(LIBS_NEEDED)' 'Libs: -L$${prefix}/lib -lgablebook -lm' \
	  'Cflags: -I$${prefix}/include' > '$(D)/lib/pkgconfig/gablebook.pc'
uninstall:
	rm -f '$(D)/bin/gablebook' '$(D)/lib/libgablebook.a' '$(D)/lib/pkgconfig/gablebook.pc'
	rm -rf '$(D)/include/gablebook' '$(D)/share/gablebook'

clean:
	rm -rf '$(BUILD)'

-include $(LIB_OBJ:.o=.d) $(DOOR_OBJ:.o=.d) $(TEST_BIN:=.d) $(TEST_SUPPORT:.o=.d) $(BENCH:=.d) $(BENCH_WEB:=.d)
