"""What zsh and fish offer while a call is typed, at their own prompts: shells.py FOLDER_OF_JARLINE
FOLDER_OF_COMPLETIONS

SPDX-License-Identifier: GPL-3.0-or-later
"""
import os
import pty
import re
import select
import subprocess
import sys
import tempfile
import time

FILES = {"spirit.csv": "#jarline,1\n#kind,run\nvolume_l,strength_pct\n0.5,70\n",
         "still.csv": "#jarline,1\n#kind,settings\nstages,1\n"}

# What is typed before the tab, and what stands on the line behind it.
LINES = {"jarline rec": "jarline record ",
         "jarline tally --tot": "jarline tally --totals ",
         "jarline tally s": "jarline tally spirit.csv ",
         "jarline record s": "jarline record spirit.csv ",
         "jarline forecast --still s": "jarline forecast --still still.csv ",
         "jarline forecast --still=s": "jarline forecast --still=still.csv ",
         "jarline forecast --jar-s": "jarline forecast --jar-size=",
         "jarline blend spirit.csv:hea": "jarline blend spirit.csv:hea",
         "jarline blend spirit.csv:hear": "jarline blend spirit.csv:hearts ",
         "jarline selfcheck density-la": "jarline selfcheck density-lange ",
         "jarline chart --paper l": "jarline chart --paper letter "}
# More words than one: those of them that are offered.
LISTS = {"jarline c": {"calibrate", "card", "charge", "chart", "correct", "cut"},
         "jarline blend spirit.csv:hea": {"spirit.csv:heads", "spirit.csv:hearts"}}


class Zsh:
    """A zsh at a terminal; a key of its own writes down what stands on its line."""

    def __init__(self, folder, completions, environment):
        self.line, self.settings = os.path.join(folder, "line"), environment
        self.ours, its = pty.openpty()
        self.process = subprocess.Popen(["zsh", "-f", "-i"], cwd=folder, env=environment, stdin=its,
                                        stdout=its, stderr=its, start_new_session=True)
        os.close(its)
        for command in (f"fpath=({completions} $fpath); autoload -Uz compinit; compinit -u -D",
                        f"show() {{ print -rn -- \"$BUFFER\" >{self.line}.new; mv {self.line}.new {self.line};"
                        " BUFFER= }; zle -N show; bindkey '^X' show", "unsetopt list_beep", ": >ready"):
            os.write(self.ours, command.encode() + b"\n")
        while not os.path.exists(os.path.join(folder, "ready")):
            self.shown(0.05)

    def shown(self, seconds):
        """What came onto the terminal."""
        text = b""
        while select.select([self.ours], [], [], seconds)[0]:
            text += os.read(self.ours, 65536)
        return text.decode("utf-8", "replace")

    def behind_tab(self, typed):
        """The line behind a tab, and what stood on the terminal."""
        os.write(self.ours, typed.encode() + b"\t")
        text = self.shown(0.4)
        os.write(self.ours, b"\x18")
        until = time.time() + 20
        while not os.path.exists(self.line) and time.time() < until:
            self.shown(0.05)
        with open(self.line, encoding="utf-8") as file:
            line = file.read()
        os.remove(self.line)
        return line, text

    def offered(self, typed):
        """All words that are offered."""
        text = re.sub(r"\x1b\[[0-9;?]*[A-Za-z]", "", self.behind_tab(typed)[1])
        return set(re.findall(r"^(\S+)", text.replace("\r", "\n").partition("\n")[2], re.M))

    def end(self):
        """Ends the shell."""
        os.close(self.ours)
        self.process.kill()
        self.process.wait()


class Fish:
    """fish says what it would offer."""

    def __init__(self, folder, completions, environment):
        self.folder, self.settings = folder, environment
        self.source = os.path.join(completions, "jarline.fish")

    def offered(self, typed):
        """All words that are offered."""
        done = subprocess.run(["fish", "--no-config", "-c", 'source $argv[1]; complete -C $argv[2]', self.source, typed],
                              cwd=self.folder, env=self.settings, check=True, stdout=subprocess.PIPE, timeout=60)
        return {line.split("\t")[0] for line in done.stdout.decode().split("\n") if line}

    def behind_tab(self, typed):
        """The line with the only word that is offered in its place; fish sets no blank behind "=" and ":"."""
        head, _, last = typed.rpartition(" ")
        words = self.offered(typed)
        if len(words) != 1:
            return typed, ""
        word = words.pop()
        if not word.startswith(last):
            word = last[:last.find("=") + 1] + word
        return head + " " + word + ("" if word[-1] in "=:/" else " "), ""

    def end(self):
        """There is nothing to end."""


def faults_of(shell):
    """What is offered otherwise, in words."""
    for typed, wanted in LINES.items():
        line = shell.behind_tab(typed)[0]
        if line != wanted:
            yield f"'{typed}' became '{line}', expected '{wanted}'"
    for typed, wanted in LISTS.items():
        offered = shell.offered(typed)
        if not wanted <= offered:
            yield f"'{typed}' offers {sorted(offered)}, expected {sorted(wanted)}"


def main(program, completions):
    """Checks both; the exit status."""
    wrong = 0
    environment = {"PATH": os.path.realpath(program) + ":" + os.environ["PATH"], "LC_ALL": "C.UTF-8",
                   "TERM": "xterm"}
    for kind in (Zsh, Fish):
        with tempfile.TemporaryDirectory() as folder:
            for name, text in FILES.items():
                with open(os.path.join(folder, name), "w", encoding="utf-8") as file:
                    file.write(text)
            shell = kind(folder, os.path.realpath(completions), environment | {"HOME": folder})
            faults = list(faults_of(shell))
            shell.end()
        for fault in faults:
            print(f"{kind.__name__.lower()}: {fault}")
        wrong += len(faults)
    print(f"zsh and fish: {wrong} wrong")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:3]))
