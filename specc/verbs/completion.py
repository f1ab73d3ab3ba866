"""`specc completion`: what a shell needs to complete verbs, options and files."""

from __future__ import annotations

import argparse

from specc.model.exit_codes import ExitCode

HELP = "print a completion script for bash, zsh or fish"
EXAMPLE = "specc completion bash > ~/.local/share/bash-completion/completions/specc"

_BASH = """_specc() {{
    local word=${{COMP_WORDS[COMP_CWORD]}} verb=${{COMP_WORDS[1]}} words=""
    if [ "$COMP_CWORD" -eq 1 ]; then
        COMPREPLY=($(compgen -W "{verbs}" -- "$word"))
        return
    fi
    case "$verb" in
{cases}
    esac
    case "$word" in
        -*) COMPREPLY=($(compgen -W "$words" -- "$word")) ;;
        *) COMPREPLY=($(compgen -f -- "$word")) ;;
    esac
}}
complete -o filenames -F _specc specc"""
_ZSH = "autoload -U +X compinit && compinit\nautoload -U +X bashcompinit && bashcompinit\n"


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("shell", choices=("bash", "zsh", "fish"))


def run(args: argparse.Namespace) -> ExitCode:
    from specc.verbs.common import say

    options = _options()
    if args.shell == "fish":
        lines = ["complete -c specc -n __fish_use_subcommand -f"]
        for verb, (about, flags) in options.items():
            lines.append(f"complete -c specc -n __fish_use_subcommand -a {verb} -d {_quoted(about)}")
            lines += [
                f"complete -c specc -n '__fish_seen_subcommand_from {verb}' -l {flag[2:]}"
                for flag in flags
                if flag.startswith("--")
            ]
        say(lines)
        return ExitCode.CLEAN
    cases = "\n".join(f'        {verb}) words="{" ".join(flags)}" ;;' for verb, (_, flags) in options.items())
    say((_ZSH if args.shell == "zsh" else "") + _BASH.format(verbs=" ".join(options), cases=cases))
    return ExitCode.CLEAN


def _quoted(text: str) -> str:
    return "'" + text.replace("\\", "\\\\").replace("'", "\\'") + "'"


def _options() -> dict[str, tuple[str, list[str]]]:
    """Each verb's help and its options, those of plugins' verbs too."""
    import importlib

    from specc.engine.host import find
    from specc.model.own_verbs import VERBS
    from specc.verbs.trade import parser_of

    found: dict[str, tuple[str, list[str]]] = {}
    for verb, name in VERBS.items():
        module = importlib.import_module(f"specc.verbs.{name}")
        parser = argparse.ArgumentParser()
        module.arguments(parser)
        found[verb] = (module.HELP, _flags(parser))
    for plugin in find().plugins:
        for own in plugin.verbs:
            found[own.name] = (own.help, _flags(parser_of(own)))
    return found


def _flags(parser: argparse.ArgumentParser) -> list[str]:
    return sorted({flag for action in parser._actions for flag in action.option_strings})
