#!/bin/sh
# The report as a command: its HTML held against two validators, the same bytes wherever it is made,
# written whole, never over what it read. tests/report/report.sh PROGRAM
set -u
cd "$(dirname "$0")/../.."
program=$1
export CORDWAIN_RULES=rules SOURCE_DATE_EPOCH=1773532800 LC_ALL=C.UTF-8
room=$(mktemp -d)
trap 'rm -rf "$room"' EXIT
bad=0

wrong() {
    echo "report: $*"
    bad=1
}

make() { # FILE, words after "cordwain report"
    file=$1
    shift
    "$program" report "$@" -o "$file" 2>"$room/said"
    status=$?
    [ "$status" -le 1 ] || wrong "$* ends with $status: $(cat "$room/said")"
}

# --- what the page is made of
cp tests/fixtures/logged/ferry.yaml "$room/older.yaml"
sed -i 's/radius: exactly 5 mm/radius: exactly 6.5 mm/' "$room/older.yaml"
logged="tests/fixtures/logged/ferry.yaml --rules tests/fixtures/logged/rules"
make "$room/drawn.html" styles/skerry.yaml --alternative turned --factory harbour --as html
make "$room/season.html" $logged "$room/older.yaml" --as html
make "$room/logged.html" $logged --since "$room/older.yaml" --as html
for page in drawn season logged; do
    python3 tests/report/page.py "$room/$page.html" || bad=1
    tidy -quiet -errors "$room/$page.html" 2>"$room/tidy"
    [ -s "$room/tidy" ] && wrong "tidy on $page: $(head -n 5 "$room/tidy")"
done

# --- a name that would like to be more
name='<script>alert(1)</script> =cmd() \\e[31m \\u202E'
sed "s|^name: .*|name: \"$name\"|" tests/fixtures/logged/ferry.yaml >"$room/hostile.yaml"
make "$room/hostile.html" "$room/hostile.yaml" --rules tests/fixtures/logged/rules --as html
python3 tests/report/page.py "$room/hostile.html" || bad=1
long=$(printf '%10000s' '' | tr ' ' n)
sed "s|^name: .*|name: $long|" tests/fixtures/logged/ferry.yaml >"$room/long.yaml"
make "$room/long.txt" "$room/long.yaml" --rules tests/fixtures/logged/rules
[ "$(awk 'length > 80' "$room/long.txt" | wc -l)" -eq 0 ] || wrong "lines longer than 80"

# --- nor do other commands print what a terminal would act on, whatever stands in the files
hostile='"\\e[31m\\x7f\\x9b\\u202E"'
cp -r rules "$room/hostile-rules"
sed -i "s|^    title: .*|    title: $hostile|" "$room"/hostile-rules/base/*.yaml
sed -i "s|^name: .*|name: $hostile|" "$room/hostile-rules/factories/harbour.yaml"
cp styles/*.svg "$room"
sed "s|^name: .*|name: $hostile|; s|^code: .*|code: $hostile|" styles/skerry.yaml \
    >"$room/hostile-skerry.yaml"
raw() { # words after "cordwain"
    command=$1
    shift
    "$program" "$command" "$room/hostile-skerry.yaml" "$@" --rules "$room/hostile-rules" \
        >"$room/said" 2>&1
    status=$?
    [ "$status" -le 1 ] || wrong "$command $* ends with $status: $(cat "$room/said")"
    sed 's/\r$//' "$room/said" | LC_ALL=C grep -qP '[\x00-\x08\x0b-\x1f\x7f]|\xc2\x9b|\xe2\x80\xae' &&
        wrong "$command $* prints control characters"
    grep -qF '202e' "$room/said" || grep -qF '202E' "$room/said" ||
        wrong "$command $* does not tell what stands there"
}
for form in text json csv jsonl; do
    raw check --factory harbour --as $form
done
for form in html markdown text json csv sarif; do
    raw report --factory harbour --as $form
done
for form in text json; do
    raw compare --factory harbour,loft --alternative as-written,turned --as $form
    raw order --as $form
done
raw draw 'edge vamp.cap-line' --alternative turned --propose 9

# --- rounder lines are sought for so many bends and no more, and it says so
sed '/^materials:/,$d; s/^code: .*/code: W-1/' tests/fixtures/logged/ferry.yaml >"$room/wave.yaml"
cat >>"$room/wave.yaml" <<'END'
materials:
  felt: {kind: woven, thickness: exactly 3 mm}
drawing: wave.svg
sheets: {open: {along: x}}
parts:
  front: {role: upper, material: felt, sheet: open, layer: 1, pieces: 1, edges: {top: {finish: turned, allowance: 4 mm}, sides: {finish: raw}}}
seams: {}
END
awk 'BEGIN {
    printf "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"300mm\" height=\"100mm\" viewBox=\"0 0 300 100\">"
    printf "<g id=\"front\"><path id=\"top\" d=\"M 0 10"
    for (i = 0; i < 50; i++) printf " a 0.3 0.3 0 0 %d 0.4 0.2 l 0.8 -0.2", i % 2
    print "\"/><path id=\"sides\" d=\"M 60 10 V 60 H 0 V 10\"/></g></svg>" }' >"$room/wave.svg"
make "$room/wave.txt" "$room/wave.yaml"
grep -q 'Proposed line: none' "$room/wave.txt" || wrong "no rounder line is sought"
grep -q 'Proposed line: not sought' "$room/wave.txt" || wrong "it does not say where it seeks no more"

# --- the same bytes in any locale and time zone, into a file or not
for form in html markdown text; do
    make "$room/one" $logged --as $form
    TZ=Pacific/Kiritimati LC_ALL=C "$program" report $logged --as $form \
        >"$room/other" 2>/dev/null
    cmp -s "$room/one" "$room/other" || wrong "$form differs in another locale or time zone"
    "$program" report $logged --as $form -o - >"$room/other" 2>/dev/null
    cmp -s "$room/one" "$room/other" || wrong "$form differs on standard output"
done

# --- never over what it read
cp tests/fixtures/logged/ferry.yaml tests/fixtures/logged/ferry.log.yaml "$room"
ln -s ferry.yaml "$room/soft"
ln "$room/ferry.yaml" "$room/hard"
ln "$room/older.yaml" "$room/older-hard"
cp -r tests/fixtures/logged/rules "$room/rules"
sum=$(cat "$room/ferry.yaml" "$room/ferry.log.yaml" "$room/older.yaml" "$room"/rules/base/*.yaml | cksum)
for to in ferry.yaml soft hard ferry.log.yaml new.log.yaml rules/base/rules.yaml older.yaml older-hard
do
    "$program" report "$room/ferry.yaml" --rules "$room/rules" --since "$room/older.yaml" \
        -o "$room/$to" >/dev/null 2>"$room/said"
    [ $? -eq 2 ] || wrong "it writes over $to"
    [ -s "$room/said" ] || wrong "it does not say why it leaves $to alone"
done
echo "no style" >"$room/refused.yaml"
"$program" report "$room/ferry.yaml" "$room/refused.yaml" --rules "$room/rules" \
    -o "$room/refused.yaml" >/dev/null 2>&1
[ $? -eq 2 ] && [ "$(cat "$room/refused.yaml")" = "no style" ] || wrong "it writes over a refused style"
[ "$sum" = "$(cat "$room/ferry.yaml" "$room/ferry.log.yaml" "$room/older.yaml" \
    "$room"/rules/base/*.yaml | cksum)" ] || wrong "an input was changed"
[ -e "$room/new.log.yaml" ] && wrong "it makes a decision log"

# --- an older report is replaced, with what its owner allowed
echo old >"$room/report"
chmod 640 "$room/report"
make "$room/report" $logged
grep -q '^Held: ' "$room/report" || wrong "an older report is not replaced"
[ "$(stat -c %a "$room/report")" = 640 ] || wrong "the mode of the older report is lost"
"$program" report $logged -o "$room/no/such/folder" 2>/dev/null
[ $? -eq 2 ] || wrong "a folder that is not there"
"$program" report $logged >/dev/full 2>/dev/null
[ $? -eq 2 ] || wrong "a full disk is not noticed"

exit $bad
