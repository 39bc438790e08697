"""The words of the project: where its sentences live, how they speak, what their codes are, and that nothing parses them.

Everything here is read from the source, so a mistake fails before anybody sees it. A message that fails says what to change.
"""

import ast
import re
from collections import Counter, defaultdict
from pathlib import Path

import pytest
from sources import GEOMETRY, JIGS, ROOT, functions, relative, tree

SCRIPTS = sorted(ROOT.glob("jigs/page/static/*.js"))
SENTENCE = 4
"""Words from which a string counts as a sentence."""

DECLARED_AT = ("key", "option", "argument", "command", "group", "Field")
"""How calls end that declare something and hold its words: a key of the instrument file, an option or a command."""

SENTENCES_ELSEWHERE = {
    "jigs/drawing": 1,
    "jigs/export": 1,
    "jigs/page": 1,
}
"""Sentences outside the places for words, by folder. These numbers only fall: move a new sentence to ``words.py``."""

NOT_SAID = {
    r"told": "says, shows, lists",
    r"tells": "says, shows, lists",
    r"whoever|whence|whither": "who, where",
    r"do(es)? as well": "also works",
    r"(?<!nothing.)but for (the|a|an|its|their|what|one|some)": "except",
    r"in place of": "instead of",
    r"(is|are|if|when) left out|if you leave it out": "default, if empty",
    r"put right|puts right|putting right": "correct",
    r"tak(e|es|en|ing) away|took away": "remove",
    r"(take|takes|taken|taking|took) notice": "uses",
    r"of another size": "different size",
    r"(?<!there.)is no (?!((long|small|larg|wid|short|deep|oth)er|more|less|better|worse|need)(?![^\W_]))\w+": "is not a",
    r"known are": "choose a or b",
    r"made (again|anew)": "redrawn, rewritten",
    r"as usual|not said": "default",
    r"put(s|ting)? back": "reset",
    r"(word|text|name|title|label|sentence|number|comma|cell|remark)s?( may| must)? stands?|stand the lines": "is",
    r"eyebrow": "plausible",
    r"by as much": "by the same amount",
    r"in want of|for want of": "lacks",
    r"and no harm is done|it is as good as": "say what happens",
    r"towards nothing you value": "away from yourself and from the instrument",
    r"desk": "the pool of processes",
}
"""Words that no reader here says, and what to say instead."""


def name_called(node):
    """The last name of what a call calls, as ``option`` of ``click.option``."""
    return node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")


def text_of(node):
    """The text of a string, or of an f-string without its values; None for everything else."""
    if isinstance(node, ast.JoinedStr):
        return " ".join(part.value for part in node.values if isinstance(part, ast.Constant))
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else None


def under(nodes):
    return {below for node in nodes for below in ast.walk(node)}


def sentences(module):
    """Strings of four words or more, except docstrings and declarations: (line, text)."""
    nodes = list(ast.walk(module))
    spared = under(n for n in nodes if isinstance(n, ast.Expr) and isinstance(n.value, ast.Constant))
    spared |= under(n for n in nodes if isinstance(n, ast.Call) and name_called(n).endswith(DECLARED_AT))
    spared |= under(keyword for n in nodes if isinstance(n, ast.ClassDef) for keyword in n.keywords)
    spared |= {part for n in nodes if isinstance(n, ast.JoinedStr) for part in under(n.values)}
    for node in nodes:
        text = None if node in spared else text_of(node)
        if text and sum(any(map(str.isalpha, word)) for word in text.split()) >= SENTENCE:
            yield node.lineno, text


def sentences_elsewhere(path):
    """Sentences of a module that belong into its folder's ``words.py``.

    A ``words.py``, or ``…_words.py`` where one file would be too long, is the place for them. The catalogue of templates
    holds its own. A template keeps its lettering beside the drawing, so only what it raises counts.
    """
    if path.stem == "words" or path.stem.endswith("_words") or path.name == "catalogue.py":
        return []
    if path.parent.name != "templates":
        return list(sentences(tree(path)))
    return [each for node in ast.walk(tree(path)) if isinstance(node, ast.Raise) for each in sentences(node)]


def test_sentences_outside_the_places_for_words_only_become_fewer():
    found = Counter({relative(path.parent): 0 for path in JIGS})
    shown = []
    for path in JIGS:
        here = sentences_elsewhere(path)
        found[relative(path.parent)] += len(here)
        shown += [(relative(path.parent), f"{relative(path)}:{line}: {text[:60]!r}") for line, text in here]
    counted = {folder: count for folder, count in found.items() if count}
    more = [folder for folder, count in counted.items() if count > SENTENCES_ELSEWHERE.get(folder, 0)]
    assert not more, "move to words.py: " + "\n".join(line for folder, line in shown if folder in more)
    assert counted == SENTENCES_ELSEWHERE, "fewer than in SENTENCES_ELSEWHERE: lower its numbers"


QUOTED = re.compile(
    r"""/\*.*?\*/|//[^\n]*|^import\b[^;]*;|"((?:\\.|[^"\\\n])*)"|'((?:\\.|[^'\\\n])*)'|`((?:\\.|[^`\\])*)`""",
    re.DOTALL | re.MULTILINE,
)


def sentences_of_script(script):
    """Strings and templates of four words or more in a script, except style sheets and lists with commas."""
    for match in QUOTED.finditer(script):
        text = re.sub(r"\$\{[^}]*\}", " ", match[1] or match[2] or match[3] or "")
        if "{" not in text and re.search("[a-z] [a-z]", text) and len(re.findall("[A-Za-z]+", text)) >= SENTENCE:
            yield script.count("\n", 0, match.start()) + 1, text


@pytest.mark.parametrize("path", SCRIPTS, ids=relative)
def test_the_scripts_keep_their_sentences_in_their_words(path):
    found = [
        f"{relative(path)}:{line}: {text!r}" for line, text in sentences_of_script(path.read_text(encoding="utf-8"))
    ]
    if path.name == "words.js":
        assert found, "they are no longer found"
    else:
        assert not found, "move to words.js: " + "\n".join(found)


def test_a_sentence_is_seen_wherever_it_is_hidden():
    hidden = 'def f(x):\n    "A docstring of many words."\n    return g(f"{x} is far too long") or "three words only"'
    assert [text for _, text in sentences(ast.parse(hidden))] == [" is far too long"]
    assert list(sentences(ast.parse('@click.option("--out", help="Folder to write to.")\ndef f(): pass'))) == []


@pytest.mark.parametrize(
    "script", ['f("not \\"one\\" of these")', "f(`${name} is far\ntoo long`)", "x = 'but this one is'"]
)
def test_a_sentence_in_a_script_is_seen(script):
    assert len(list(sentences_of_script(script))) == 1


@pytest.mark.parametrize(
    "script",
    [
        "// it's a comment, and so it doesn't count",
        "/* 'so is this one here' */ f('three words only')",
        "import { a } from './of/some other file of ours.js';",
        "find('input, select, button, legend'); style(`svg text { color: dark red }`);",
    ],
)
def test_other_text_in_a_script_is_not_a_sentence(script):
    assert list(sentences_of_script(script)) == []


# ---- the voice

READ = sorted(
    {
        *(path for folder in ("jigs", "geometry", "tests", ".ci") for path in ROOT.glob(f"{folder}/**/*.py")),
        *SCRIPTS,
        *ROOT.glob("jigs/page/static/*.html"),
        *ROOT.glob("jigs/**/*.toml"),
        *(ROOT / "tests").glob("**/*.md"),
        *(ROOT / ".ci" / name for name in ("run", "tool")),
        *(ROOT / name for name in ("README.md", "DEVELOPERS.md", "pyproject.toml")),
    }
    - {Path(__file__)}
)
"""Every program, script, page, preset and guide for developers, with its names and comments."""


def slips(text):
    """Words of `NOT_SAID` in a text, in names too: (line, word, better)."""
    for pattern, better in NOT_SAID.items():
        words = pattern.replace(" ", r"[\s_#*/\"]+")
        for match in re.finditer(rf"(?<![^\W_])({words})(?![^\W_])", text, re.IGNORECASE):
            yield text.count("\n", 0, match.start()) + 1, " ".join(match[0].split()), better


@pytest.mark.parametrize("path", READ, ids=relative)
def test_words_are_those_that_people_say(path):
    found = [
        f"{relative(path)}:{line}: {word!r}, say: {better}"
        for line, word, better in sorted(slips(path.read_text(encoding="utf-8")))
    ]
    assert not found, "\n".join(found)


@pytest.mark.parametrize(
    "text",
    [
        "The sheet TOLD me",
        "def test_it_is_told_at_once",
        "# do\n# as well",
        "a_told",
        "Whoever",
        "it is no paper",
        "cores as usual",
        "the words stand",
    ],
)
def test_a_word_that_nobody_says_is_seen(text):
    assert list(slips(text))


@pytest.mark.parametrize(
    "text",
    ["untold", "toldness", "there is no paper", "it is no longer", "a_is_no_deeper_than_b", "nothing but for fun"],
)
def test_a_word_that_people_say_passes(text):
    assert list(slips(text)) == []


def test_a_percentage_is_closed_up():
    spaced = [
        f"{relative(path)}:{node.lineno}: {text!r}"
        for path in JIGS
        for node in ast.walk(tree(path))
        if (text := ast.unparse(node) if isinstance(node, ast.JoinedStr) else text_of(node))
        and re.search(r"[\d}][ \N{NO-BREAK SPACE}\N{NARROW NO-BREAK SPACE}]%", text)
    ]
    assert not spaced, "\n".join(spaced)


# ---- codes

KEBAB = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


def code_takers():
    """Functions and classes that take a code, each with its place among the arguments."""
    takers = {"Says": 2, "Fault": 3, "Note": 3}
    for path in JIGS:
        for function in functions(tree(path)):
            names = [argument.arg for argument in function.args.args]
            if "code" in names:
                takers[function.name] = names.index("code")
    return takers


def pieces_of_code(node):
    """The texts of an argument that is a code: one, or those of an expression with a choice or a name in it."""
    return [text for part in ast.walk(node) if isinstance(part, ast.Constant) and (text := text_of(part)) is not None]


def codes():
    """Every code in jigs: (code, function that uses it, place), a code with values in it by its fixed parts."""
    takers = code_takers()
    for path in JIGS:
        module = tree(path)
        owner = {below: f.name for f in functions(module) for below in ast.walk(f)}
        for node in ast.walk(module):
            if not isinstance(node, ast.Call) or name_called(node) not in takers:
                continue
            place = takers[name_called(node)]
            given = [argument.value for argument in node.keywords if argument.arg == "code"]
            given += [] if len(node.args) <= place else [node.args[place]]
            for code in (piece for each in given for piece in pieces_of_code(each)):
                whose = owner.get(node, f"line {node.lineno}")
                yield code, f"{relative(path)}: {whose}", f"{relative(path)}:{node.lineno}"


def test_codes_are_short_and_in_kebab_case():
    found = list(codes())
    assert len(found) > 100, "they are no longer found"
    wrong = [f"{place}: {code!r}" for code, _, place in found if not KEBAB.fullmatch(code.strip("-"))]
    assert not wrong, "\n".join(wrong)


def test_a_code_has_one_meaning():
    users = defaultdict(set)
    for code, whose, _ in codes():
        users[code].add(whose)
    shared = {code: sorted(found) for code, found in users.items() if len(found) > 1}
    assert shared == {}


# ---- nothing parses a sentence

HOLD_WORDS = {
    *("advice", "error", "explanation", "fault", "help", "hint", "label", "message", "msg", "reason", "refusal"),
    *("remedy", "sentence", "spoken", "what", "words"),
}
"""What the name of a variable or a function has in it if it holds or returns a sentence, as ``advice_text``."""

ERRORS = {"error", "fault", "note", "refusal", "refused", "says", "wrong"}
PARSES = {
    *("partition", "rpartition", "split", "rsplit", "splitlines", "startswith", "endswith", "find", "index"),
    *("removeprefix", "removesuffix", "match", "search", "fullmatch", "sub", "findall", "finditer"),
}


def holds_words(node, modules=()):
    """Whether an expression is a sentence by its names, as ``fault.what``, ``str(error)`` and ``message.lower()`` are.

    ``modules``: names that are imported, such as ``words``: not a sentence, but what their functions return is one.
    """
    if isinstance(node, ast.Subscript):
        return holds_words(node.value, modules)
    if isinstance(node, ast.Call):
        asked = [node.func, *([node.func.value] if isinstance(node.func, ast.Attribute) else [])]
        as_text = name_called(node) == "str" and any(getattr(given, "id", "") in ERRORS for given in node.args)
        return as_text or any(map(holds_words, asked))
    if isinstance(node, ast.Attribute) and node.attr == "args":
        return getattr(node.value, "id", "") in ERRORS
    name = node.attr if isinstance(node, ast.Attribute) else getattr(node, "id", "")
    return name not in modules and not HOLD_WORDS.isdisjoint(name.lower().split("_"))


def parsings(module):
    """Lines at which a sentence is taken apart, searched, or compared with one."""
    nodes = list(ast.walk(module))
    modules = {
        each.asname or each.name for n in nodes if isinstance(n, ast.Import | ast.ImportFrom) for each in n.names
    }
    for node in nodes:
        if isinstance(node, ast.Call):
            called = name_called(node)
            read = [*node.args, *([node.func.value] if isinstance(node.func, ast.Attribute) else [])]
            takes_apart = called in PARSES and any(
                holds_words(each, modules) or (called.endswith(("partition", "split")) and text_of(each) == "; ")
                for each in read
            )
            if takes_apart or called.startswith("old_"):
                yield node.lineno
        elif isinstance(node, ast.Compare):
            sides = [node.left, *node.comparators]
            is_searched = any(isinstance(each, ast.In | ast.NotIn) for each in node.ops)
            read = node.comparators if is_searched else sides
            if any(holds_words(each, modules) for each in read) and (is_searched or any(map(text_of, sides))):
                yield node.lineno


@pytest.mark.parametrize("path", [*GEOMETRY, *JIGS], ids=relative)
def test_no_program_reads_a_sentence(path):
    assert [f"{relative(path)}:{line}" for line in parsings(tree(path))] == []


@pytest.mark.parametrize(
    "line",
    [
        'text.partition("; ")',
        'str(error).split(":")',
        "PATTERN.fullmatch(str(fault))",
        'fault.what.startswith("this")',
        'if "is missing" in fault.what: pass',
        'if "overwrite" in str(error): pass',
        'if "overwrite" not in message.lower(): pass',
        "number = int(label.split()[1])",
        "found = [name for name in names if name in finished_sentence]",
        "re.search(WORD, advice_text)",
        'error.args[0].endswith("again")',
        "from jigs.faults import spoken\nspoken(remedy).split()",
        "from jigs.survey import words\nwords.headline(board).partition(':')",
        'old_refuse("--kerf", "too wide; less")',
    ],
)
def test_a_sentence_that_is_read_is_seen(line):
    assert list(parsings(ast.parse(line)))


@pytest.mark.parametrize(
    "line",
    [
        "from jigs.rack import words\nwords.index(1)",
        'error.code == "length"',
        "label in labels",
        'text.split(",")',
        "if words: pass",
    ],
)
def test_a_code_a_list_and_what_the_user_wrote_may_be_read(line):
    assert list(parsings(ast.parse(line))) == []


REGULAR_EXPRESSION = re.compile(
    r"(?:[=(,:!&|?;{}\[]|\breturn)\s*"  # a value may begin here
    r"/((?:\\.|\[(?:\\.|[^\]\\\n])*\]|[^/\\\n\[*])(?:\\.|\[(?:\\.|[^\]\\\n])*\]|[^/\\\n\[])*)/"
)
TEXT_MATCHED = re.compile(r"""\.(?:startsWith|endsWith|includes|indexOf|match|test|split)\(\s*["'`]([^"'`\n]*)["'`]""")
OF_PROSE = re.compile(r"[A-Z][a-z]{2,}|[a-z]{2,}[;,:]? [a-z]{2,}")


def prose_matched(script):
    """What a script looks for that looks like a word of a sentence: capitalised, or several with spaces between."""
    code = re.sub(r"(?m)^\s*//.*$|/\*.*?\*/", "", script, flags=re.DOTALL)
    found = [match[1] for match in [*REGULAR_EXPRESSION.finditer(code), *TEXT_MATCHED.finditer(code)]]
    return [each for each in found if OF_PROSE.search(each) or re.search(r"\b(treble|bass) (end|leg)|stop\b", each)]


@pytest.mark.parametrize("path", SCRIPTS, ids=relative)
def test_no_script_reads_a_sentence(path):
    script = path.read_text(encoding="utf-8")
    assert prose_matched(script) == []
    assert "new RegExp(" not in script, "is it made from text? write it as a literal"


@pytest.mark.parametrize(
    "script",
    [
        "const a = /^(Stop|Leave)/.test(line);",
        'if (line.startsWith("Stop")) x();',
        "f(/the bridge/u)",
        "x = /, treble end/",
    ],
)
def test_a_script_that_reads_a_sentence_is_seen(script):
    assert prose_matched(script)


def test_a_script_may_read_ids_and_numbers():
    assert prose_matched(r"const string = /^strings\.(\d+)\./.exec(field); const half = 1 / 2 / 3;") == []
