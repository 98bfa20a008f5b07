#!/usr/bin/python3
"""The HTML pages in a browser: on a telephone, on a wide screen and printed.

SPDX-License-Identifier: GPL-3.0-or-later

browser.py JARLINE EXAMPLES [--shots FOLDER] [--axe FILE]

Chromium is driven through a pipe. --shots keeps pictures of every page. --axe: the package of axe-core,
or its axe.min.js, whose findings count too; otherwise npm is asked for the package, and where that has none the
checks written here are all. A package with another hash is refused."""
import base64, hashlib, json, os, re, shutil, subprocess, sys, tempfile

SIZES = (320, 640), (375, 812), (480, 800), (640, 900), (768, 1024), (900, 900), (1024, 768), (1280, 800)
LEAST_PX = 11

# Everything that is written on the page, with its size and colours; what stands outside; the tables.
LOOK = r"""(() => {
  const shown = e => { const s = getComputedStyle(e); return s.display != "none" && s.visibility != "hidden"; };
  const hidden = e => !!e.closest("thead") && getComputedStyle(e.closest("thead")).position == "absolute";
  const all = [...document.body.querySelectorAll("*")].filter(e => e.getClientRects().length > 0);
  const luminance = c => { const p = c.match(/[\d.]+/g).slice(0, 3).map(v => v / 255)
      .map(v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
    return 0.2126 * p[0] + 0.7152 * p[1] + 0.0722 * p[2]; };
  const paper = e => { for (; e; e = e.parentElement) { const c = getComputedStyle(e).backgroundColor;
      if (c != "rgba(0, 0, 0, 0)") return c; } return "rgb(255,255,255)"; };
  const contrast = (e, s) => { const a = luminance(s.color), b = luminance(paper(e));
    return (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05); };
  const bad = [];
  const say = (what, e) => bad.push(what + ": " + e.outerHTML.slice(0, 90));
  for (const e of all) {
    const r = e.getBoundingClientRect();
    if (r.left < -0.5 || r.right > innerWidth + 0.5) say("outside", e);
    const texts = [[null, [...e.childNodes].some(n => n.nodeType == 3 && n.data.trim())],
                   ["::before", getComputedStyle(e, "::before").content.length > 2]];
    for (const [which, there] of texts) {
      if (!there || hidden(e)) continue;
      const s = getComputedStyle(e, which);
      if (parseFloat(s.fontSize) < LEAST) say("text of " + s.fontSize, e);
      if (contrast(e, s) < 4.5) say("contrast " + contrast(e, s).toFixed(1), e);
      if (which == null && shown(e) && e.scrollWidth > e.clientWidth + 1 && e.clientWidth > 0) say("cut off", e);
    }
  }
  if (document.documentElement.scrollWidth > innerWidth) bad.push("scrolls to the side: " + document.documentElement.scrollWidth);
  if (document.documentElement.lang != "en") bad.push("no language");
  if (!document.querySelector("meta[name=viewport]")) bad.push("no viewport");
  let level = 0;
  for (const h of document.querySelectorAll("h1,h2,h3,h4")) {
    const l = +h.tagName[1];
    if (l > level + 1) say("heading skips", h);
    level = l;
  }
  if (document.querySelectorAll("h1").length != 1) bad.push("not one h1");
  for (const t of document.querySelectorAll("table")) {
    if (!t.caption || !t.caption.textContent.trim()) say("no caption", t);
    for (const th of t.querySelectorAll("th")) if (!th.scope) say("no scope", th);
    for (const r of t.tBodies[0].rows) if (r.cells[0].tagName != "TH") say("no row header", r);
  }
  const ids = [...document.querySelectorAll("[id]")].map(e => e.id);
  if (new Set(ids).size != ids.length) bad.push("an id twice");
  for (const a of document.querySelectorAll("a"))
    if (!ids.includes(a.getAttribute("href").slice(1))) say("leads nowhere", a);
  const link = document.querySelector("a");
  if (link) {
    link.focus({focusVisible: true});
    const s = getComputedStyle(link);
    if (document.activeElement != link || parseFloat(s.outlineWidth) < 2) say("no focus to be seen", link);
  }
  for (const i of document.querySelectorAll("img")) {
    if (!i.alt || i.alt.length < 40) say("no words for it", i);
    if (!i.complete || i.naturalWidth == 0) say("not shown", i);
    const drawn = new TextDecoder().decode(Uint8Array.from(atob(i.currentSrc.split(",")[1]), c => c.charCodeAt(0)));
    const least = Math.min(...[...drawn.matchAll(/font-size="([\d.]+)"/g)].map(m => m[1])) * i.width / i.naturalWidth;
    if (!(least >= LEAST)) say("type of " + least.toFixed(1), i);
    if (drawn.includes("…")) say("words cut in the chart", i);
  }
  return {bad, width: innerWidth, rows: Object.fromEntries([...document.querySelectorAll("table")].map(t =>
      [t.caption.textContent, [...t.tBodies[0].rows].filter(shown).map(r => [...r.cells].map(c => c.textContent))]))};
})()"""
LOOK = LOOK.replace("LEAST", str(LEAST_PX))


class Browser:
    def __init__(self, folder):
        commands, answers = os.pipe(), os.pipe()

        def pipes():
            os.dup2(commands[0], 203)
            os.dup2(answers[1], 204)
            os.dup2(203, 3)
            os.dup2(204, 4)

        self.process = subprocess.Popen(
            ["chromium", "--headless", "--no-sandbox", "--disable-gpu", "--remote-debugging-pipe",
             "--hide-scrollbars", "--user-data-dir=" + os.path.join(folder, "profile"), "about:blank"],
            preexec_fn=pipes, close_fds=False, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        os.close(commands[0])
        os.close(answers[1])
        self.to, self.come, self.read, self.count, self.session = commands[1], answers[0], bytearray(), 0, None
        target = self.call("Target.createTarget", url="about:blank")["targetId"]
        self.session = self.call("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        self.call("Page.enable")

    def answer(self):
        while b"\0" not in self.read:
            piece = os.read(self.come, 1 << 16)
            if not piece:
                sys.exit("the browser ended")
            self.read += piece
        one, _, self.read = self.read.partition(b"\0")
        return json.loads(bytes(one))

    def call(self, method, **parameters):
        self.count += 1
        request = {"id": self.count, "method": method, "params": parameters}
        if self.session:
            request["sessionId"] = self.session
        os.write(self.to, json.dumps(request).encode() + b"\0")
        while True:
            got = self.answer()
            if got.get("id") == self.count:
                if "error" in got:
                    sys.exit(f"{method}: {got['error']}")
                return got["result"]

    def open(self, path, width, height):
        self.call("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=2,
                  mobile=width < 600)
        self.call("Page.navigate", url="file://" + path)
        while self.answer().get("method") != "Page.loadEventFired":
            pass

    def ask(self, script):
        got = self.call("Runtime.evaluate", expression=script, returnByValue=True, awaitPromise=True)
        if "exceptionDetails" in got:
            sys.exit(str(got["exceptionDetails"]))
        return got["result"].get("value")

    def picture(self):
        size = self.call("Page.getLayoutMetrics")["cssContentSize"]
        clip = {"x": 0, "y": 0, "width": size["width"], "height": min(size["height"], 8000), "scale": 1}
        return base64.b64decode(self.call("Page.captureScreenshot", captureBeyondViewport=True, clip=clip)["data"])

    def printed(self):
        self.call("Emulation.clearDeviceMetricsOverride")  # of a telephone's page blank pages are left
        return base64.b64decode(self.call("Page.printToPDF", preferCSSPageSize=True, printBackground=True)["data"])

    def end(self):
        self.process.terminate()
        self.process.wait()


class Checks:
    def __init__(self):
        self.count, self.bad = 0, []

    def that(self, truth, what):
        self.count += 1
        if not truth:
            self.bad.append(what)


def jars_of(jarline, log):
    """Number and strength of each jar, as tally has them."""
    answer = subprocess.run([jarline, "tally", log, "--json"], check=True, capture_output=True)
    return [(jar["jar"], f"{jar['strength_pct']:.1f}") for jar in json.loads(answer.stdout)["jars"]]


def on_screen(browser, path, axe, checks, shots):
    name, rows = os.path.basename(path), {}
    for width, height in SIZES:
        browser.open(path, width, height)
        seen = browser.ask(LOOK)
        rows = seen["rows"]
        checks.that(not seen["bad"], f"{name} at {width} px: " + "; ".join(seen["bad"][:5]))
        checks.that(seen["width"] == width, f"{name} at {width} px needs {seen['width']} px")
        if axe:
            browser.ask(axe)
            found = browser.ask("axe.run().then(r => r.violations.map(v => v.id + ': ' + v.nodes[0].html.slice(0, 120)))")
            checks.that(not found, f"{name} at {width} px, axe: " + "; ".join(found[:5]))
        if shots:
            open(os.path.join(shots, f"{name}-{width}.png"), "wb").write(browser.picture())
    return rows


def leaves_sheet(pdf):
    """Words that do not stand within their page."""
    width, out = 0, []
    said = subprocess.run(["pdftotext", "-bbox", pdf, "-"], check=True, capture_output=True, text=True).stdout
    for page, left, right, word in re.findall(
            r'<page width="([0-9.]+)|<word xMin="([0-9.-]+)" .*xMax="([0-9.]+)" .*>(.*)</word>', said):
        width = float(page) if page else width
        if word and not 0 < float(left) < float(right) < width:
            out.append(word)
    return out


def on_paper(browser, path, folder, rows, checks):
    """Every cell is there in full, and nothing leaves the sheet."""
    pdf, name = os.path.join(folder, "printed.pdf"), os.path.basename(path)
    open(pdf, "wb").write(browser.printed())
    checks.that(not leaves_sheet(pdf), f"{name} printed: words leave the sheet")
    pages = subprocess.run(["pdftotext", pdf, "-"], check=True, capture_output=True, text=True).stdout.split("\f")[:-1]
    checks.that(all(page.strip() for page in pages), f"{name} printed: a blank page of {len(pages)}")
    said = subprocess.run(["pdftotext", "-raw", pdf, "-"], check=True, capture_output=True, text=True).stdout
    text = "".join(said.split())
    sentences = browser.ask("[...document.querySelectorAll('footer p')].map(p => p.textContent)")
    for words in sentences + [cell for table in rows.values() for row in table for cell in row]:
        checks.that("".join(words.split()) in text, f"{name} printed: {words!r} is not there")


def full_width(browser, checks, name):
    """The chart is as wide as the text in print."""
    browser.call("Emulation.setEmulatedMedia", media="print")
    browser.call("Emulation.setDeviceMetricsOverride", width=703, height=1032, deviceScaleFactor=1, mobile=False)
    wide = browser.ask("[...document.images].map(i => i.width / document.querySelector('main').clientWidth)")
    browser.call("Emulation.setEmulatedMedia", media="")
    for share in wide:
        checks.that(share > 0.98, f"{name} printed: the chart has {share:.2f} of the width")


def make(jarline, examples, folder):
    """The pages to look at, with the log of those that have jars."""
    run = os.path.join(examples, "spirit-october.csv")
    long = os.path.join(folder, "long.csv")
    note = "a long note that must not be cut: the nose of this jar was of pears and wet cardboard "
    with open(long, "w") as to:
        to.write("#jarline,1\n#kind,run\n#title,A run with a long name and_a_word_that_has_no_end_and_goes_on_and_on\n")
        to.write("#charge_l,12\n#charge_strength_pct,28\njar,volume_ml,reading_pct,temp_c,head_c,fraction,note\n")
        for i in range(1, 41):
            to.write(f"{i},120,{82 - i},22,{84 + i / 4},{'heads' if i < 5 else 'hearts'},{note if i % 3 == 0 else ''}\n")
    pages = [(["report", run, "--bottle", "500mL"], "run", run), (["report", long], "long", long),
             (["account", os.path.join(examples, "book-autumn.csv"), run], "account", None),
             (["report", run, "--paper", "a5"], "run-a5", run), (["chart", run, "--follow"], "followed", None)]
    made = []
    for words, name, log in pages:
        path = os.path.join(folder, name + ".html")
        subprocess.run([jarline, *words, "-o", path], check=True, stdout=subprocess.DEVNULL)
        made.append((path, log))
    return made


# The one package that is taken, whatever a registry hands out.
AXE, AXE_INTEGRITY = "axe-core@4.14.1", (
    "sha512-FHfa+lmNjQZfJz1q8wKqIDwC6DExcHt/pkjNQb09a3NPjCKg2rhu5qb2S4r76ASyFNNtuFooJpZe37OgudVGtQ==")


def integrity(path):
    return "sha512-" + base64.b64encode(hashlib.sha512(open(path, "rb").read()).digest()).decode()


def find_axe(named, folder):
    """The checker's script, or None where there is none; another package than the one named is refused."""
    if named is None and shutil.which("npm"):
        if subprocess.run(["npm", "pack", AXE], cwd=folder, capture_output=True).returncode == 0:
            named = os.path.join(folder, AXE.replace("@", "-") + ".tgz")
    if named is None:
        return None
    if not named.endswith(".tgz"):
        return open(named).read()
    if integrity(named) != AXE_INTEGRITY:
        sys.exit(f"{os.path.basename(named)}: {integrity(named)}, not the {AXE_INTEGRITY} of {AXE}")
    subprocess.run(["tar", "xzf", named, "-C", folder], check=True)
    return open(os.path.join(folder, "package", "axe.min.js")).read()


def tidy(path, checks):
    if not shutil.which("tidy"):
        return
    said = subprocess.run(["tidy", "-q", "-e", "-utf8", path], capture_output=True, text=True).stderr
    checks.that(not said, f"{os.path.basename(path)}: tidy: {said[:300]}")


def look_at(jarline, examples, axe, shots, folder):
    checks, browser = Checks(), Browser(folder)
    for path, log in make(jarline, examples, folder):
        rows = on_screen(browser, path, axe, checks, shots)
        tidy(path, checks)
        if log:
            shown = [(row[0], row[5]) for row in next(v for k, v in rows.items() if k.startswith("Jars"))]
            checks.that([jar for jar, _ in shown] == [jar for jar, _ in jars_of(jarline, log)],
                        f"{path}: not all jars")
            full_width(browser, checks, os.path.basename(path))
        browser.open(path, *SIZES[1])
        on_paper(browser, path, folder, rows, checks)
        if shots:
            shutil.copy(os.path.join(folder, "printed.pdf"), os.path.join(shots, os.path.basename(path) + ".pdf"))
    browser.end()
    return checks


def main():
    options = dict(zip(sys.argv[3::2], sys.argv[4::2]))
    if not shutil.which("chromium"):
        print("chromium is not here: the pages were not looked at")
        return 77
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        axe = find_axe(options.get("--axe"), folder)
        checks = look_at(os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2]), axe, options.get("--shots"), folder)
    for what in checks.bad:
        print(what)
    print(f"{checks.count} checks{'' if axe else ', axe-core is not here'}, {len(checks.bad)} failed")
    return 1 if checks.bad else 0


sys.exit(main())
