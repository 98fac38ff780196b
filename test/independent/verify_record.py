#!/usr/bin/env python3
"""Checks an exported record with nothing but Python's standard library.

    python3 verify_record.py ENTRIES CHECKPOINTS PUBLIC_KEYS

Prints "ok" and what was checked, or the first place that does not hold, and then exits with 1. Take the checkpoints and
the public keys from where they were kept apart from the record. docs/record.md describes the format.
"""

import base64
import hashlib
import json
import re
import sys

GENESIS = "0" * 64
FORMAT = "stainwright-checkpoint/1"

# Ed25519 (RFC 8032 section 5.1): the curve -x^2 + y^2 = 1 + d x^2 y^2 over the integers modulo P, its base point of order L.
P = 2**255 - 19
L = 2**252 + 27742317777372353535851937790883648493
D = -121665 * pow(121666, -1, P) % P
ROOT_OF_MINUS_ONE = pow(2, (P - 1) // 4, P)


def point(encoded):
    """Decodes a point (section 5.1.3) into extended coordinates (X, Y, Z, T); None when there is no such point."""
    number = int.from_bytes(encoded, "little")
    sign, y = number >> 255, number & (2**255 - 1)
    if len(encoded) != 32 or y >= P:
        return None
    square = (y * y - 1) * pow(D * y * y + 1, -1, P) % P
    x = pow(square, (P + 3) // 8, P)
    if x * x % P != square:
        x = x * ROOT_OF_MINUS_ONE % P
    if x * x % P != square or (x == 0 and sign == 1):
        return None
    if x & 1 != sign:
        x = P - x
    return x, y, 1, x * y % P


def add(one, other):
    """Adds two points (section 5.1.4); the formula holds for doubling as well."""
    x1, y1, z1, t1 = one
    x2, y2, z2, t2 = other
    a, b = (y1 - x1) * (y2 - x2) % P, (y1 + x1) * (y2 + x2) % P
    c, d = 2 * D * t1 * t2 % P, 2 * z1 * z2 % P
    e, f, g, h = b - a, d - c, d + c, b + a
    return e * f % P, g * h % P, f * g % P, e * h % P


def times(factor, of):
    total = (0, 1, 1, 0)
    while factor:
        if factor & 1:
            total = add(total, of)
        of, factor = add(of, of), factor >> 1
    return total


BASE = point((4 * pow(5, -1, P) % P).to_bytes(32, "little"))


def verifies(public_key, message, signature):
    """Whether the 64 bytes are the signature of the 32-byte key over the message (section 5.1.7)."""
    a, r, s = point(public_key), point(signature[:32]), int.from_bytes(signature[32:], "little")
    if len(signature) != 64 or a is None or r is None or s >= L:
        return False
    k = int.from_bytes(hashlib.sha512(signature[:32] + public_key + message).digest(), "little") % L
    left, right = times(s, BASE), add(r, times(k, a))
    return (left[0] * right[2] - right[0] * left[2]) % P == 0 and (left[1] * right[2] - right[1] * left[2]) % P == 0


class Fault(Exception):
    """The first place that does not hold."""


def keys_in(pem):
    """Ed25519 public keys by their id: the first 16 hex digits of SHA-256 over the DER form, whose last 32 bytes are the key."""
    blocks = re.findall("-----BEGIN PUBLIC KEY-----([^-]+)-----END PUBLIC KEY-----", pem)
    return {hashlib.sha256(der).hexdigest()[:16]: der[-32:] for der in map(base64.b64decode, blocks)}


def lines_of(path):
    with open(path, encoding="utf-8", newline="\n") as file:
        for number, line in enumerate(file, 1):
            try:
                if line.strip():
                    yield number, json.loads(line)
            except ValueError:
                raise Fault(f"{path}, line {number}: this is not JSON") from None


def believed(path, keys):
    """The statements whose signatures hold. Where one hands over, the next key signs from there on and the old no more."""
    retired, seen, statements = set(), set(), []
    for number, line in lines_of(path):
        text, signature = line["statement"], line["signature"]
        if (text, signature) in seen:
            continue
        seen.add((text, signature))
        statement = json.loads(text)
        place = f"checkpoint {number} (record {statement['seq']})"
        if statement["format"] != FORMAT:
            raise Fault(f"{place}: its format is not {FORMAT}")
        key = statement["key"]
        if key not in keys:
            raise Fault(f"{place}: it is signed by the key {key}, which is none of the trusted ones")
        if not verifies(keys[key], text.encode(), base64.b64decode(signature)):
            raise Fault(f"{place}: its signature is not that of the key {key}")
        if (statement["laboratory"], key) in retired:
            raise Fault(f"{place}: the key {key} had handed over to another before")
        statements.append(statement)
        if "next" in statement:
            retired.add((statement["laboratory"], key))
            keys.update(keys_in(statement["next"]))
    return statements


def check(entries, checkpoints, public_keys):
    with open(public_keys, encoding="ascii") as file:
        statements = believed(checkpoints, keys_in(file.read()))
    signed = {}
    for statement in statements:
        signed.setdefault(statement["seq"], []).append(statement)
    seq, previous, laboratory, covered = 0, GENESIS, None, 0
    for _, entry in lines_of(entries):
        if entry["seq"] != seq + 1:
            raise Fault(f"record {entry['seq']}: it follows {seq}; entries are missing, put in or out of order")
        seq = entry["seq"]
        digest = hashlib.sha256(f"{previous}\n{entry['body']}".encode()).hexdigest()
        if digest != entry["hash"]:
            raise Fault(f"record {seq}: its hash does not follow from its text and the hash before it")
        body = json.loads(entry["body"])
        laboratory = laboratory or body["laboratory"]
        if (body["seq"], body["laboratory"]) != (seq, laboratory):
            raise Fault(f"record {seq}: its text is that of entry {body['seq']} of {body['laboratory']}")
        for statement in signed.get(seq, []):
            if (statement["hash"], statement["laboratory"]) != (digest, laboratory):
                raise Fault(f"record {seq}: another hash was signed at {statement['at']}; entries from {covered + 1} to {seq} were changed or made anew")
            covered = seq
        previous = digest
    beyond = max((number for number in signed if number > seq), default=None)
    if beyond is not None:
        raise Fault(f"record {seq}: the record ends here, but it was signed up to entry {beyond}; its end was cut off")
    return f"ok: {seq} entries of {laboratory}, {len(statements)} checkpoints, signed up to entry {covered}"


def main(arguments):
    if len(arguments) != 3:
        print(__doc__.strip(), file=sys.stderr)
        return 2
    try:
        print(check(*arguments))
        return 0
    except Fault as fault:
        print(fault)
    except (KeyError, TypeError, ValueError) as error:
        print(f"this is no export of a record: {error!r}")
    return 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
