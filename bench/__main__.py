"""Run every measurement beside this file and print what each found: ``python -m bench [name ...]``."""

from __future__ import annotations

import importlib
import pkgutil
import sys

import bench


def main(names: list[str]) -> None:
    known = sorted(
        module.name for module in pkgutil.iter_modules(bench.__path__) if module.name != "__main__"
    )
    for name in names or known:
        if name not in known:
            sys.exit(f"there is no measurement {name!r}; known are {', '.join(known)}")
        print(f"\n== {name}", flush=True)
        importlib.import_module(f"bench.{name}").main()


main(sys.argv[1:])
