#!/usr/bin/env python3
"""Checks an evidence pack with nothing but Python's standard library and verify_record.py beside this file.

    python3 verify_pack.py PACK [PUBLIC_KEYS [CHECKPOINTS]]

PACK is the zip file or its unpacked folder. Prints "ok" and what was checked, or the first place that does not hold, and
then exits with 1. Without PUBLIC_KEYS the keys in the pack are taken, which show only that it is of one piece: take them,
and CHECKPOINTS, from where they were kept apart. FORMAT.md in the pack describes the format.
"""

import base64
import csv
import hashlib
import io
import json
import os
import sys
import zipfile

from verify_record import FORMAT, Fault, keys_in, verifies

PACK = "stainwright-pack/1"
SEAL = "stainwright-pack-manifest/1"
OUTSIDE = {"manifest.json", "manifest.seal.json"}


class Folder:
    """A pack that is a folder."""

    def __init__(self, path):
        self.path = path
        self.names = [
            os.path.relpath(os.path.join(at, name), path).replace(os.sep, "/")
            for at, _, names in os.walk(path)
            for name in names
        ]

    def open(self, name):
        return open(os.path.join(self.path, *name.split("/")), "rb")


class Zip:
    """A pack that is a zip file."""

    def __init__(self, path):
        self.zip = zipfile.ZipFile(path)
        self.names = self.zip.namelist()

    def open(self, name):
        return self.zip.open(name)


def text_of(pack, name):
    with pack.open(name) as file:
        return file.read().decode()


def lines_of(pack, name):
    if name not in pack.names and name.startswith("data/"):
        return
    with pack.open(name) as file:
        for number, line in enumerate(file, 1):
            if not line.endswith(b"\n"):
                raise Fault(f"{name}, line {number}: its end is cut off")
            try:
                yield number, line[:-1], json.loads(line)
            except ValueError:
                raise Fault(f"{name}, line {number}: this is not JSON") from None


def sha256(content):
    return hashlib.sha256(content).hexdigest()


def check_files(pack, manifest):
    """Every file is named once, is there, and has its size and hash; none is there that is not named."""
    named = [file["name"] for file in manifest["files"]]
    for name in sorted(set(pack.names) - set(named) - OUTSIDE):
        raise Fault(f"{name}: the manifest does not name this file")
    if len(named) != len(set(named)) or len(pack.names) != len(set(pack.names)):
        raise Fault("a file is there, or is named, twice")
    for file in manifest["files"]:
        if file["name"] not in pack.names:
            raise Fault(f"{file['name']}: the manifest names this file, and it is missing")
        digest, size = hashlib.sha256(), 0
        with pack.open(file["name"]) as content:
            while chunk := content.read(1 << 20):
                digest.update(chunk)
                size += len(chunk)
        if (size, digest.hexdigest()) != (file["bytes"], file["sha256"]):
            raise Fault(f"{file['name']}: it was changed; its {size} bytes have not the SHA-256 that the manifest says")


def signed(line, keys, place):
    """What a signed line states, once its signature holds."""
    statement = json.loads(line["statement"])
    key = keys.get(statement["key"])
    if key is None:
        raise Fault(f"{place}: it is signed by the key {statement['key']}, which is none of the trusted ones")
    if not verifies(key, line["statement"].encode(), base64.b64decode(line["signature"])):
        raise Fault(f"{place}: its signature is not that of the key {statement['key']}")
    return statement


def check_seal(pack, manifest, digest, keys):
    statement = signed(json.loads(text_of(pack, "manifest.seal.json")), keys, "manifest.seal.json")
    said = [statement[key] for key in ("format", "laboratory", "pack", "manifest")]
    if said != [SEAL, manifest["laboratory"]["id"], manifest["pack"], digest]:
        raise Fault("manifest.json: it was changed; the seal is that of another manifest")


def checkpoints_in(lines, keys, laboratory):
    """Hashes by entry that were signed for this laboratory. A key that hands over vouches for the next one."""
    hashes, retired = {}, set()
    for number, line in lines:
        place = f"checkpoint {number}"
        statement = signed(line, keys, place)
        if statement["format"] != FORMAT:
            raise Fault(f"{place}: its format is not {FORMAT}")
        if statement["laboratory"] != laboratory:
            continue
        if statement["key"] in retired:
            raise Fault(f"{place}: the key {statement['key']} had handed over to another before")
        hashes.setdefault(statement["seq"], []).append(statement["hash"])
        if "next" in statement:
            retired.add(statement["key"])
            keys.update(keys_in(statement["next"]))
    return hashes


def check_chain(pack, manifest, hashes):
    """Every entry follows from the one before and is what was signed; answers the rows that they name, and the last signed."""
    chain, laboratory = manifest["chain"], manifest["laboratory"]["id"]
    seq, previous, marks, covered = chain["first"] - 1, chain["before"], {}, 0
    if previous not in (["0" * 64] if seq == 0 else hashes.get(seq, [previous])):
        raise Fault(f"record {seq}: another hash was signed than the one that the chain begins with")
    for number, _, entry in lines_of(pack, "chain/entries.jsonl"):
        if entry["seq"] != seq + 1:
            raise Fault(f"record {entry['seq']}: it follows {seq}; entries are missing, put in or out of order")
        seq = entry["seq"]
        if sha256(f"{previous}\n{entry['body']}".encode()) != entry["hash"]:
            raise Fault(f"record {seq}: its hash does not follow from its text and the hash before it")
        previous = entry["hash"]
        body = json.loads(entry["body"])
        if (body["seq"], body["laboratory"]) != (seq, laboratory):
            raise Fault(f"record {seq}: its text is that of entry {body['seq']} of {body['laboratory']}")
        for said in hashes.get(seq, []):
            if said != previous:
                raise Fault(f"record {seq}: another hash was signed; entries from {covered + 1} to {seq} were changed or made anew")
            covered = seq
        for mark in body["rows"]:
            marks[f"{mark['table']} {mark['id']}"] = (bytes.fromhex(mark["sha256"]), seq)
    if seq != chain["last"]:
        raise Fault(f"record {seq}: the chain ends here, and the manifest says {chain['last']}; its end was cut off")
    if covered < manifest["period"]["last"]:
        raise Fault(f"record {seq}: only up to entry {covered} was signed, and the period ends with {manifest['period']['last']}")
    return marks, covered


def check_rows(pack, manifest, kind, marks):
    """Every line is the row that the chain names; answers how many were checked, and how many are of older acts."""
    name, table, checked, older, removed, before = f"data/{kind['name']}.jsonl", kind["table"], 0, 0, 0, ""
    ids = []
    for number, line, row in lines_of(pack, name):
        place = f"{name}, line {number}, {table} {row['id']}"
        if row["id"] <= before:
            raise Fault(f"{place}: it stands twice or out of order")
        before = row["id"]
        ids.append(row["id"])
        mark = marks.pop(f"{table} {row['id']}", None)
        if mark is None:
            if row["seq"] >= manifest["chain"]["first"]:
                raise Fault(f"{place}: no entry of the chain names this row")
            older += 1
        elif table == "sealed_value" and "value" not in row:
            removed += 1
        elif (sha256(line), row["seq"]) != (mark[0].hex(), mark[1]):
            raise Fault(f"{place}: the row is not as entry {mark[1]} recorded it")
        checked += 1
    if checked != kind["rows"]:
        raise Fault(f"{name}: it has {checked} rows, and the manifest says {kind['rows']}")
    check_csv(pack, kind, ids)
    return checked - older - removed, older, removed


def check_csv(pack, kind, ids):
    if not ids and f"data/{kind['name']}.csv" not in pack.names:
        return
    with pack.open(f"data/{kind['name']}.csv") as file:
        rows = csv.DictReader(io.TextIOWrapper(file, "utf-8", newline=""))
        if [row["id"] for row in rows] != ids:
            raise Fault(f"data/{kind['name']}.csv: its rows are not those of the JSON lines")


def check_masked(pack, manifest, marks):
    """A masked value is not there; what stands for it names a row that the chain names."""
    ids = []
    for number, _, row in lines_of(pack, "data/identifiers.jsonl"):
        ids.append(row["id"])
        mark = marks.pop(f"sealed_value {row['id']}", None)
        if (mark is None and row["seq"] >= manifest["chain"]["first"]) or (mark and mark[1] != row["seq"]):
            raise Fault(f"data/identifiers.jsonl, line {number}: no entry {row['seq']} names the value {row['id']}")
    check_csv(pack, {"name": "identifiers"}, ids)
    return len(ids)


def check_whole(manifest, marks):
    """What the entries of the period name and the pack does not hold was taken out, unless it was not to be in it."""
    first, last = manifest["period"]["first"], manifest["period"]["last"]
    whole = {kind["table"] for kind in manifest["kinds"] if kind["whole"]}
    if {"table": None, "whole": True} in [{"table": kind["table"], "whole": kind["whole"]} for kind in manifest["kinds"]]:
        whole.add("sealed_value")
    for key, (_, seq) in marks.items():
        table, row = key.split(" ", 1)
        if table in whole and first <= seq <= last:
            raise Fault(f"{table} {row}: entry {seq} names this row, and it is not in the pack")


def check_content(pack):
    """Protocols and pictures are what the rows say of them."""
    checked = 0
    for _, _, revision in lines_of(pack, "data/revisions.jsonl"):
        name = f"protocols/{revision['protocolId']}-{revision['number']}.json"
        with pack.open(name) as file:
            if sha256(file.read()) != revision["contentHash"]:
                raise Fault(f"{name}: it is not the content of revision {revision['number']}")
        checked += 1
    hashes = {row["id"]: row["sha256"] for _, _, row in lines_of(pack, "data/files.jsonl")}
    for name in (name for name in pack.names if name.startswith("pictures/")):
        known = hashes.get(name[len("pictures/") :].rsplit(".", 1)[0])
        with pack.open(name) as file:
            if known is not None and sha256(file.read()) != known:
                raise Fault(f"{name}: it is not the picture that was kept")
        checked += 1
    return checked


def check(pack, public_keys=None, kept=None):
    if "manifest.json" not in pack.names:
        raise Fault("manifest.json: it is missing")
    text = text_of(pack, "manifest.json")
    manifest = json.loads(text)
    if manifest["format"] != PACK:
        raise Fault(f"manifest.json: its format is not {PACK}")
    check_files(pack, manifest)
    keys = keys_in(public_keys if public_keys is not None else text_of(pack, "chain/public-keys.pem"))
    lines = [(number, line) for number, _, line in lines_of(pack, "chain/checkpoints.jsonl")]
    if kept is not None:
        lines = list(enumerate((json.loads(line) for line in kept.splitlines() if line.strip()), 1)) + lines
    hashes = checkpoints_in(lines, keys, manifest["laboratory"]["id"])
    check_seal(pack, manifest, sha256(text.encode()), keys)
    marks, covered = check_chain(pack, manifest, hashes)
    rows, older, removed, masked = 0, 0, 0, 0
    for kind in manifest["kinds"]:
        if kind["table"] is None:
            masked = check_masked(pack, manifest, marks)
            continue
        counts = check_rows(pack, manifest, kind, marks)
        rows, older, removed = rows + counts[0], older + counts[1], removed + counts[2]
    check_whole(manifest, marks)
    content = check_content(pack)
    first, last = manifest["chain"]["first"], manifest["chain"]["last"]
    parts = [
        f"ok: {len(manifest['files'])} files, entries {first} to {last} of {manifest['laboratory']['id']}, signed up to {covered}",
        f"{rows} rows as recorded",
        f"{content} protocols and pictures",
        *([f"{masked} sealed values masked"] if masked else []),
        *([f"{removed} sealed values removed by law"] if removed else []),
        *([f"{older} rows older than the chain here, which it does not prove"] if older else []),
        *(["by the keys in the pack itself"] if public_keys is None else []),
    ]
    return ", ".join(parts)


def main(arguments):
    if not 1 <= len(arguments) <= 3:
        print(__doc__.strip(), file=sys.stderr)
        return 2
    try:
        path, *others = arguments
        kept = [open(each, encoding="utf-8").read() for each in others]
        print(check(Folder(path) if os.path.isdir(path) else Zip(path), *kept))
        return 0
    except Fault as fault:
        print(fault)
    except (KeyError, TypeError, ValueError, zipfile.BadZipFile, EOFError) as error:
        print(f"this is no evidence pack, or it was cut off: {error!r}")
    return 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
