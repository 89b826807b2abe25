"""The page's modules as one script do what they do as modules; what this does not read is refused."""

from __future__ import annotations

import json
import re
import shutil
import subprocess

import pytest

from haulbook.shore.one_script import one_script
from haulbook.shore.shell import SCRIPT, page_files

needs_node = pytest.mark.skipif(
    shutil.which("node") is None, reason="no node here: the page tests run it anyway"
)

MODULES = {
    "first.js": (
        'import { twice, Pair as Two } from "./parts/twice.js";\nimport * as all from "./parts/all.js";\n'
        "globalThis.said = [twice(3), new Two(1).sum, all.LIMIT, Object.keys(all).sort(), hoisted()];\n"
        "function hoisted() {\n  return globalThis.order;\n}\n"
    ),
    "parts/twice.js": (
        'import { LIMIT } from "./all.js";\n(globalThis.order ??= []).push("twice");\n'
        "export function twice(n) {\n  return Math.min(LIMIT, 2 * n);\n}\n"
        "export class Pair {\n  constructor(n) {\n    this.sum = 2 * n;\n  }\n}\n"
    ),
    "parts/all.js": (
        'import { deep } from "../deep.js";\n\nexport { deep };\nexport { alone } from "../deep.js";\n'
        '(globalThis.order ??= []).push("all");\nexport const LIMIT = 5;\nexport async function later() {}\n'
    ),
    "deep.js": "export const deep = 1;\nexport const alone = 2;\n",
}


@needs_node
@pytest.mark.parametrize("whole", [True, False])
def test_one_script_says_what_the_modules_say_in_their_order(tmp_path, whole):
    for address, text in MODULES.items():
        (tmp_path / address).parent.mkdir(exist_ok=True)
        (tmp_path / address).write_text(text)
    (tmp_path / "package.json").write_text('{"type": "module"}')
    (tmp_path / "whole.js").write_text(one_script(MODULES, "first.js"))
    run = (
        f'await import("./{"whole" if whole else "first"}.js"); console.log(JSON.stringify(globalThis.said))'
    )
    said = subprocess.run(
        ["node", "--input-type=module", "--eval", run],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=True,
    )
    assert json.loads(said.stdout) == [
        5,
        2,
        5,
        ["LIMIT", "alone", "deep", "later"],
        ["all", "twice"],
    ]


def test_every_module_of_the_page_is_in_its_script_once():
    script = page_files()[SCRIPT].decode()
    for address in page_files():
        if address.endswith(".js") and address not in ("sw.js", SCRIPT):
            assert script.count(f"// {address}\n") == 1, address


@pytest.mark.parametrize(
    ("modules", "words"),
    [
        ({"a.js": 'import { b } from "./b.js";\n'}, "a.js imports b.js, which is not there"),
        (
            {"a.js": 'import { b } from "./b.js";\n', "b.js": 'import { a } from "./a.js";\n'},
            "a.js imports b.js imports a.js: a circle",
        ),
        (
            {"a.js": "export default 1;\n"},
            "a.js has 'export default 1;': write it as the other modules do",
        ),
        (
            {"a.js": "export let n = 1;\n"},
            "a.js has 'export let n = 1;': write it as the other modules do",
        ),
        (
            {"a.js": 'if (x) import("./b.js");\n', "b.js": ""},
            "a.js has 'if (x) import(\"./b.js\");': write it as the other modules do",
        ),
    ],
)
def test_what_is_not_read_exactly_is_refused(modules, words):
    with pytest.raises(ValueError, match=f"^{re.escape(words)}$"):
        one_script(modules, "a.js")
