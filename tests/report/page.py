"""Goes through a report's page as a reader of HTML does: everything is closed, headings go down one
level at a time, links lead somewhere, tables and pictures are named, nothing comes from elsewhere."""
import html.parser
import sys

VOID = {"meta"}
NEVER = {"script", "link", "img", "iframe", "object", "embed", "form", "base", "use", "image", "a:"}


class Page(html.parser.HTMLParser):
    def __init__(self):
        super().__init__(convert_charrefs=True)
        self.open, self.ids, self.links, self.wrong = [], [], [], []
        self.level, self.titles, self.svgs, self.tables, self.captions = 0, 0, 0, 0, 0
        self.descs, self.lang, self.charset, self.headings = 0, None, None, 0

    def say(self, what):
        self.wrong.append("line %d: %s" % (self.getpos()[0], what))

    def handle_starttag(self, tag, attrs):
        names = [name for name, _ in attrs]
        given = dict(attrs)
        if tag in NEVER:
            self.say("<%s>" % tag)
        if len(names) != len(set(names)):
            self.say("<%s> has an attribute twice" % tag)
        for name, value in attrs:
            if name.startswith("on") or name in ("src", "srcset", "action", "xlink:href"):
                self.say("%s=%s" % (name, value))
            if name == "href" and not value.startswith("#"):
                self.say("link to %s" % value)
        if "id" in given:
            self.ids.append(given["id"])
        if tag == "a":
            self.links.append(given["href"][1:])
        if tag == "html":
            self.lang = given.get("lang")
        if tag == "meta" and "charset" in given:
            self.charset = given["charset"]
        if tag == "svg":
            self.svgs += 1
            if given.get("role") != "img":
                self.say("a picture without its role")
        if tag == "th" and given.get("scope") not in ("row", "col"):
            self.say("a heading cell without scope")
        if tag in ("h1", "h2", "h3", "h4", "h5", "h6"):
            level = int(tag[1])
            self.headings += 1
            if level > self.level + 1:
                self.say("<%s> after level %d" % (tag, self.level))
            self.level = level
        if "svg" in self.open:
            self.titles += tag == "title"
            self.descs += tag == "desc"
        self.tables += tag == "table"
        self.captions += tag == "caption"
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.open.pop()

    def handle_endtag(self, tag):
        if not self.open or self.open.pop() != tag:
            self.say("</%s> closes something else" % tag)

    def handle_data(self, data):
        for sign in data:
            if ord(sign) < 32 and sign != "\n" or 0x202A <= ord(sign) <= 0x202E:
                self.say("U+%04x" % ord(sign))


def main(path):
    with open(path, encoding="utf-8", newline="") as file:
        text = file.read()
    page = Page()
    page.feed(text)
    page.close()
    wrong = page.wrong
    if page.open:
        wrong.append("not closed: %s" % page.open)
    if len(page.ids) != len(set(page.ids)):
        wrong.append("an id stands twice")
    wrong += ["no place called %s" % link for link in page.links if link not in set(page.ids)]
    if page.lang != "en" or page.charset != "utf-8":
        wrong.append("language or character set is not said")
    if page.svgs != page.titles or page.svgs != page.descs:
        wrong.append("%d pictures, %d titles, %d descriptions" % (page.svgs, page.titles, page.descs))
    if page.tables != page.captions:
        wrong.append("%d tables, %d captions" % (page.tables, page.captions))
    if page.headings < 8 or not text.startswith("<!DOCTYPE html>"):
        wrong.append("this is no report")
    for line in wrong:
        print("%s: %s" % (path, line))
    return 1 if wrong else 0


sys.exit(main(sys.argv[1]))
