# cordwain: `make setup` once (Debian), `make`, `make test`.
# Everything is built below $(BUILD); nothing else is written.

BUILD   ?= build
PREFIX  ?= /usr/local
CC      ?= cc
CFLAGS  ?= -O2 -g
VERSION := 0.1

WARN := -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wvla -Wstrict-prototypes -Wmissing-prototypes
OWN  := -std=gnu11 -Isrc $(WARN) -ffp-contract=off -D_FORTIFY_SOURCE=2 -fstack-protector-strong \
        -DCORDWAIN_VERSION='"$(VERSION)"' -DCORDWAIN_DATA='"$(PREFIX)/share/cordwain"'
LIBS := -Wl,--as-needed -lyaml -lexpat -ljansson -lncursesw -lgeos_c -lmd -lm

SOURCES := $(sort $(wildcard src/*/*.c))
OBJECTS := $(SOURCES:src/%.c=$(BUILD)/src/%.o)
MAIN    := $(BUILD)/src/cli/main.o
LIBRARY := $(BUILD)/libcordwain.a

TEST_SOURCES := $(sort $(wildcard tests/unit/*.c tests/reference/*.c tests/property/*.c tests/hostile/*.c))
TESTS        := $(TEST_SOURCES:tests/%.c=$(BUILD)/tests/%)
BENCHES      := $(patsubst tests/%.c,$(BUILD)/tests/%,$(sort $(wildcard tests/bench/*.c)))

SCHEMAS := $(patsubst %,$(BUILD)/schemas/%.schema.json,style rules factory materials log findings lines)

all: $(BUILD)/cordwain $(SCHEMAS)

# The packages of Debian 12 that building and testing need.
PACKAGES := gcc make pkg-config libyaml-dev libexpat1-dev libjansson-dev libncurses-dev libcmocka-dev \
            libgsl-dev libgeos-dev libmd-dev valgrind mandoc python3 python3-jsonschema python3-yaml tidy tmux
setup:
	apt-get update
	DEBIAN_FRONTEND=noninteractive apt-get install -y --no-install-recommends $(PACKAGES)

$(BUILD)/cordwain: $(MAIN) $(LIBRARY)
	$(CC) $(CFLAGS) $(LDFLAGS) -o $@ $^ $(LIBS)

$(LIBRARY): $(filter-out $(MAIN),$(OBJECTS))
	@rm -f $@
	$(AR) rcs $@ $^

# The kernels that run over lanes are worth -O3 whatever the rest is built with. Nobody asks which
# floating-point exceptions were raised: saying so turns tests into masks, and changes no value.
$(BUILD)/src/rule/kernel.o: OWN += -O3 -fno-trapping-math -falign-loops=64 -falign-functions=64

$(BUILD)/src/%.o: src/%.c
	@mkdir -p $(@D)
	$(CC) $(CFLAGS) $(OWN) -MMD -MP -c -o $@ $<

# The second opinion on areas and distances is GEOS's.
$(BUILD)/tests/reference/shape_areas: LIBS += -lgeos_c

$(BUILD)/tests/%: tests/%.c $(LIBRARY)
	@mkdir -p $(@D)
	$(CC) $(CFLAGS) $(OWN) -Itests -MMD -MP -o $@ $< $(LIBRARY) $(LIBS) -lcmocka -lgsl -lgslcblas -lm

# From the one table of fields; files name them in their first line, so that editors check as one types.
schemas: $(SCHEMAS)
$(BUILD)/schemas/%.schema.json: $(BUILD)/cordwain
	@mkdir -p $(@D)
	$(BUILD)/cordwain fields --as schema $* >$@

demo: $(BUILD)/cordwain
	$(BUILD)/cordwain check styles/skerry.yaml --factory harbour --alternative turned || [ $$? -eq 1 ]

test: $(BUILD)/cordwain $(TESTS) $(BENCHES)
	tests/run $(BUILD)

asan:
	$(MAKE) BUILD=$(BUILD)/asan CFLAGS="-O1 -g -fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer -U_FORTIFY_SOURCE" test

valgrind: $(BUILD)/cordwain $(TESTS)
	tests/run $(BUILD) --valgrind

bench: $(BUILD)/cordwain $(BENCHES)
	@for b in $(BENCHES); do $$b || exit 1; done

# Rewrites the expected output of the golden tests; read the diff afterwards.
refresh: $(BUILD)/cordwain
	tests/golden/run $(BUILD)/cordwain --refresh

# What is installed names the schemas that are installed beside it.
DATA := $(DESTDIR)$(PREFIX)/share/cordwain
install: $(BUILD)/cordwain $(SCHEMAS)
	install -d $(DESTDIR)$(PREFIX)/bin $(DESTDIR)$(PREFIX)/share/man/man1 $(DESTDIR)$(PREFIX)/share/man/man5 \
	    $(DATA)/rules/base $(DATA)/rules/factories $(DATA)/rules/catalogue $(DATA)/styles $(DATA)/schemas
	install -m 755 $(BUILD)/cordwain $(DESTDIR)$(PREFIX)/bin/cordwain
	install -m 644 man/cordwain.1 $(DESTDIR)$(PREFIX)/share/man/man1/cordwain.1
	install -m 644 man/cordwain-rules.5 $(DESTDIR)$(PREFIX)/share/man/man5/cordwain-rules.5
	install -m 644 $(SCHEMAS) $(DATA)/schemas
	install -m 644 rules/base/*.yaml $(DATA)/rules/base
	install -m 644 rules/factories/*.yaml $(DATA)/rules/factories
	install -m 644 rules/catalogue/*.yaml $(DATA)/rules/catalogue
	install -m 644 styles/*.yaml styles/*.svg $(DATA)/styles
	sed -i '1s|build/schemas/|schemas/|' $(DATA)/rules/*/*.yaml $(DATA)/styles/*.yaml

uninstall:
	rm -f $(DESTDIR)$(PREFIX)/bin/cordwain $(DESTDIR)$(PREFIX)/share/man/man1/cordwain.1 \
	    $(DESTDIR)$(PREFIX)/share/man/man5/cordwain-rules.5
	rm -rf $(DATA)

clean:
	rm -rf $(BUILD)

.PHONY: all setup schemas demo test asan valgrind bench refresh install uninstall clean
.DELETE_ON_ERROR:
-include $(OBJECTS:.o=.d) $(TESTS:=.d) $(BENCHES:=.d)
