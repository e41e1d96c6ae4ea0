"""What comes in is measured before it is parsed: counted here in bytes and values, never in time."""

from __future__ import annotations

import io
import json
import zipfile
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evaluation.errors import ArgumentError, KindError, MouilletteError, StoreError
from evaluation.ground import intake
from evaluation.ground.archives import Archive, Metered
from evaluation.ground.intake import Bounds, decimal_of, decimal_of_float, json_of, modest
from tests import attacks

SMALL = Bounds("a file", 1000, depth=4, values=20)


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"[" * 19, "at most 4 deep"),
        (b"[[[[[]]]]]", "at most 4 deep"),
        (b'{"a":[{"b":[[]]}]}', "at most 4 deep"),
        (b"[0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0]", "at most 20 values"),
        (b"[" + b"9" * 20 + b"]", "at most 19 digits, not 20"),
        (b"[" + b"9" * 900 + b"]", "at most 19 digits, not 900"),
        (b"[9223372036854775808]", "at most 19 digits"),
        (b"[1e999]", "must be finite"),
        (b"[0." + b"1" * 50 + b"]", "at most 40 characters"),
        (b"[NaN]", "must be finite, not NaN"),
        (b"[-Infinity]", "must be finite, not -Infinity"),
        (b'{"a":1,"a":1}', "'a' stands twice"),
        (b'["\xff"]', "UTF-8 text, which it is not from byte 3 on"),
        ('["a"]'.encode("utf-16"), "UTF-8"),
        (b'["\\ud800"]', "half a letter"),
        (b'["a]', "must be JSON"),
        (b"", "must be JSON"),
        (b"[1,]", "must be JSON, which it is not at character 4"),
        (b" " * 1001, "at most 1000 bytes"),
    ],
)
def test_json_beyond_its_bounds_is_refused_in_one_sentence(data: bytes, said: str) -> None:
    with pytest.raises(ArgumentError, match=said) as refused:
        json_of(data, SMALL)
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize(
    "value",
    [
        {"a": [1, -(2**63), 2**63 - 1, 0.5, True, None], "“": '[[[[[[{{{{,,,,,::::\\" 😀'},
        [[[[1]]]],
        "[" * 500,
        [],
    ],
)
@pytest.mark.parametrize("escapes", [True, False])
def test_json_within_its_bounds_says_what_the_standard_library_says(value: object, escapes: bool) -> None:
    assert json_of(json.dumps(value, ensure_ascii=escapes).encode(), SMALL) == value


def test_nothing_is_parsed_of_what_is_too_deep(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(intake.json, "loads", lambda *_, **__: pytest.fail("it was parsed"))
    for data in (b"[" * 500_000, b"[" + b"[]," * 300_000 + b"[]]"):
        with pytest.raises(ArgumentError):
            json_of(data, Bounds("a file", 1 << 20, depth=4, values=200_000))


def test_many_values_in_few_bytes_are_refused() -> None:
    sparse = Bounds("a file", 1 << 20, depth=4, values=1_000_000, letters=6)
    with pytest.raises(ArgumentError, match="fewer if it is short"):
        json_of(b"[" + b"{}," * 30_000 + b"{}]", sparse)
    assert len(json_of(b"[" + b"12345678," * 30_000 + b"1]", sparse)) == 30_001
    assert len(json_of(b"[" + b"{}," * 500 + b"{}]", sparse)) == 501


@pytest.mark.parametrize("text", ["0", "12.5", "-3", "100", "0.050", "1E+1", "1e5"])
def test_decimals_are_read_as_they_are_written(text: str) -> None:
    assert decimal_of("strength", text) == Decimal(text)


@pytest.mark.parametrize(
    "text", ["10x", "", "NaN", "Infinity", "1e-999999999", "1e16", "1e-99", "٣", "9" * 46, " 1", "1_0"]
)
def test_what_is_no_decimal_is_refused_by_name(text: str) -> None:
    with pytest.raises(ArgumentError, match=r"strength must be a number such as 12\.5, not"):
        decimal_of("strength", text)
    with pytest.raises(KindError):
        decimal_of("strength", 10)


def test_a_number_that_would_fill_the_memory_when_written_out_is_not_modest() -> None:
    assert modest(Decimal("0.000001"))
    assert not any(modest(Decimal(one)) for one in ("1e-999999999", "1e16", "NaN", "Infinity", "1" * 50))


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_a_float_spelt_out_is_read_to_its_last_digit(number: float) -> None:
    assert decimal_of_float("distance", format(Decimal(repr(number)), "f")) == Decimal(repr(number))


@pytest.mark.parametrize("text", ["1e-999999999", "1E+5", "NaN", "", "9" * 310, "0." + "1" * 346, "٣", " 1", 5, None])
def test_what_spells_no_float_out_is_refused(text: Any) -> None:
    with pytest.raises(ArgumentError, match="distance must be a number written out as text, not"):
        decimal_of_float("distance", text)


# --- archives ---------------------------------------------------------------------------------------------------------

PACKED = Bounds("a file", 1 << 20, members=3, unpacked=1 << 22, free=1000, times=10)


class Counted(io.BytesIO):
    """Bytes that count how many of them were taken."""

    taken = 0

    def read(self, size: int | None = -1) -> bytes:
        data = super().read(size)
        self.taken += len(data)
        return data


def packed(parts: dict[str, bytes]) -> Counted:
    return Counted(attacks.zipped(parts))


def test_what_says_that_it_is_too_large_is_not_unpacked() -> None:
    bomb = packed({"a": b"0" * 10_000_000})
    with pytest.raises(ArgumentError, match="may unpack to at most"):
        Archive(bomb, PACKED)
    assert bomb.taken < 500  # the end of the file and the list of members


def lying(data: bytes, says: int) -> bytes:
    """The same archive, whose list of members tells another size (APPNOTE.TXT 4.3.12: at 24 of each entry)."""
    made = bytearray(data)
    at = made.find(b"PK\x01\x02")
    made[at + 24 : at + 28] = says.to_bytes(4, "little")
    return bytes(made)


@pytest.mark.parametrize("says", [0, 10, 900])
def test_no_more_is_unpacked_than_a_header_says_or_than_is_allowed(says: int) -> None:
    archive = Archive(io.BytesIO(lying(packed({"a": b"0" * 10_000_000}).getvalue(), says)), PACKED)
    with pytest.raises(MouilletteError):
        archive.whole("a", 1000)
    assert archive.given <= 1000


def test_a_member_may_not_be_larger_than_its_own_bounds() -> None:
    archive = Archive(packed({"a": b"0" * 900}), PACKED)
    assert archive.whole("a", 900) == b"0" * 900
    with pytest.raises(ArgumentError, match="a may have at most 899 bytes"):
        archive.whole("a", 899)
    with pytest.raises(ArgumentError, match="a line of a may have at most 900 bytes"):
        list(archive.lines("a", 900))


def test_lines_come_as_they_were_written() -> None:
    for data in (b"", b"a", b"a\n", b"a\n\nb" * 30_000, b"\n"):
        lines = list(Archive(packed({"a": data}), Bounds("a file", 1 << 20, 3, 1 << 22, 1 << 20, 100)).lines("a", 1000))
        assert lines == data.splitlines(keepends=True)


def test_a_long_list_of_members_is_not_read() -> None:
    many = packed({f"{number:06}": b"" for number in range(20_000)})
    with pytest.raises(ArgumentError, match="shorter list of members"):
        Archive(many, Bounds("a file", 1 << 24, 3, 1 << 22, 1 << 20, 100))
    assert many.taken < 100_000
    with pytest.raises(ArgumentError, match="at most 3 parts, not 4"):
        Archive(packed(dict.fromkeys("abcd", b"")), PACKED)


def test_other_packing_doubled_parts_and_what_is_no_zip_are_refused() -> None:
    for data, said in (
        (b"", "must be a zip"),
        (b"PK\x05\x06" + b"\xff" * 18, "must be a zip"),
        (b"\0" * (1 << 21), "at most 1 MB"),
    ):
        with pytest.raises(ArgumentError, match=said):
            Archive(io.BytesIO(data), PACKED)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_BZIP2) as other:
        other.writestr("a", b"a")
    with pytest.raises(ArgumentError, match="packed plainly"):
        Archive(out, PACKED)
    doubled = attacks.zipped([("a", b"a"), ("a", b"b")])
    with pytest.raises(ArgumentError, match="each of its parts once"):
        Archive(io.BytesIO(doubled), PACKED)


def test_no_more_is_asked_of_a_file_at_once_than_a_list_of_members_may_take() -> None:
    with pytest.raises(ArgumentError):
        Metered(io.BytesIO(b"0" * (1 << 20))).read()
    metered = Metered(io.BytesIO(b"0" * 100))
    assert (metered.read(), metered.taken) == (b"0" * 100, 100)


# --- files ------------------------------------------------------------------------------------------------------------


def test_a_file_without_an_end_is_left_unread() -> None:
    with pytest.raises(ArgumentError, match="a file may have at most 1000 bytes"):
        intake.file_bytes("/dev/zero", SMALL)


@pytest.mark.parametrize("name", ["nowhere/at/all", "/", "a\x00b"])
def test_what_cannot_be_read_is_said_in_one_sentence(name: str) -> None:
    with pytest.raises(StoreError, match="cannot be read"):
        intake.file_bytes(name, SMALL)
