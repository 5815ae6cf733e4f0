"""What commands say, as a page says it."""

from __future__ import annotations

import html

import pytest

from lullwort.card.commands.commands import Ran
from lullwort.card.commands.said import faults_of, in_words, told_html
from lullwort.card.pages.fields import Field

FIELDS = (
    Field("gravity", "What it reads (SG)", "--gravity-read"),
    Field("at", "When", "--at", tells=("at that time",)),
    Field("vessel", "Vessel", "VESSEL"),
)


@pytest.mark.parametrize(
    ("says", "shown"),
    [
        (
            "`lullwort batch edit s-1 --volume` keeps it",
            '<a href="/batch/s-1/edit?show=volume#f-volume">correct the entries</a> keeps it',
        ),
        ("see `lullwort batch edit`", 'see <a href="/batch/own/edit">correct the entries</a>'),
        (
            "Next: `lullwort sheet s-1` makes its page to keep.",
            'Next: <a href="/batch/s-1/sheet">the sheet</a>, a page to keep.',
        ),
        ("`lullwort sealed batch:s-1` says why", '<a href="/batch/s-1">the batch&#x27;s page</a> says why'),
        ("; `lullwort batch list` shows them", '; <a href="/">the list of vessels</a> shows them'),
        (
            "--remove takes the note back",
            'It can be taken back in <a href="/batch/own/note#noted">the batch&#x27;s notes</a>',
        ),
        ("`lullwort instrument` keeps yours", "<code>lullwort instrument</code>, at a terminal, keeps yours"),
        ("kept with `lullwort instrument`.", "kept with <code>lullwort instrument</code>, at a terminal."),
        ("is --at right? --crash-days too", "is “When” right? “crash days” too"),
        ("note it in batch:s-2 instead", "note it in batch s-2 instead"),
        ("<b>&--at", "&lt;b&gt;&amp;“When”"),
        ("well--at-home", "well--at-home"),
        ("VESSEL is '--help', expected an id", "“Vessel” is '--help', expected an id"),
        ("recipe '--at `x`' it's --at", "recipe '--at `x`' it's “When”"),
        ("words \"it's `lullwort batch close x`\", --at", "words &quot;it's `lullwort batch close x`&quot;, “When”"),
        ("""words 'it\\'s "--at" batch:x', --at""", r"words 'it\'s &quot;--at&quot; batch:x', “When”"),
        ("`lullwort sheet s-1`'s --at", '<a href="/batch/s-1/sheet">the sheet</a>\'s “When”'),
    ],
)  # fmt: skip
def test_what_is_for_a_terminal_becomes_words_and_links(says: str, shown: str) -> None:
    assert in_words(says, FIELDS, "own").replace("&#x27;", "'") == shown.replace("&#x27;", "'")


@pytest.mark.parametrize(
    ("err", "faults"),
    [
        ("lullwort: note: --at lies in the future: is it?\n", {"at": "It lies in the future: is it?"}),
        ("a warning\nlullwort: --gravity-read: 3 reads as °P\n", {"gravity": "3 reads as °P"}),
        ("lullwort: batch open: VESSEL is 'X', expected an id\n", {"vessel": "It is 'X', expected an id"}),
        ("lullwort: no batch was in it at that time\n", {"at": "No batch was in it at that time"}),
        ("lullwort: 'at that time', '--at'? --gravity-read\n", {"gravity": "'at that time', '--at'? “What it reads”"}),
        ("lullwort: another batch is\n", {"": "Another batch is"}),
        ("Usage: x\n\nError: Invalid value for '--at': not so.\n", {"at": "not so."}),
        ("Usage: x\n\nError: Missing argument 'KIND'.\n", {"": "Missing argument 'KIND'."}),
        ("", {"": "It was refused, without a reason."}),
    ],
)
def test_what_is_wrong_is_about_the_field_that_it_names(err: str, faults: dict[str, str]) -> None:
    found = faults_of(Ran(1, "", err), FIELDS)
    assert {name: html.unescape(says) for name, says in found.items()} == faults


def test_what_was_done_is_told_in_a_word_with_what_is_to_be_minded() -> None:
    told = told_html(
        Ran(0, "for <it>\n  at once\n", "Is it?\nDANGER: it comes to much. Bottles can burst.\n"), "Noted."
    )
    assert told.index("<b>Mind:</b> Is it?") < told.index("<b>Danger:</b> it comes to much") < told.index("at once")
    assert '<p><b>Noted.</b> for &lt;it&gt; <a href="?">Put this away</a></p>' in told


def test_every_sentence_of_a_command_goes_to_its_field_and_several_of_one_stand_together() -> None:
    wrong = ("note: --at is 'x', expected a time", "--gravity-read is 'y'", "is --at right?")
    err = "".join(["a warning\n", *(f"lullwort: {says}\n" for says in wrong)])
    assert faults_of(Ran(2, "", err), FIELDS) == {
        "at": "It is &#x27;x&#x27;, expected a time. is “When” right?",
        "gravity": "It is &#x27;y&#x27;",
    }
