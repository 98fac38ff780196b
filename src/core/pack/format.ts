/** `FORMAT.md`: what a stranger needs to read a pack and to check it with common tools. */
export const FORMAT_TEXT = `# The format of this evidence pack (stainwright-pack/1)

Text is UTF-8. Instants are UTC with milliseconds, as the clock of the laboratory's machine said. SHA-256 is in hexadecimal.

| file | what it holds |
| --- | --- |
| \`index.html\` | what is in the pack, for reading; it needs no program and no script |
| \`manifest.json\` | scope, period, programs, the rows of each kind, and name, size and SHA-256 of every other file but the next |
| \`manifest.seal.json\` | a signature over the manifest's SHA-256 |
| \`data/<kind>.jsonl\` | one record a line, as JSON in RFC 8785 form; there is no file where no record exists |
| \`data/<kind>.csv\` | the same for spreadsheets (RFC 4180); nested values are JSON text |
| \`data/people.jsonl\`, \`data/devices.jsonl\` | who and what acted, by name; the chain does not pin these |
| \`data/identifiers.jsonl\` | of a masked pack: which sealed value lies where, and a pseudonym for each patient's identifier |
| \`data/sealed-values.jsonl\` | of a pack with identifiers: these and free words, each with its salt |
| \`protocols/<protocol>-<revision>.json\`, \`.yaml\` | each revision as it was; the SHA-256 of the JSON file is its \`contentHash\` |
| \`pictures/<file>.<ending>\`, \`pdf/run-<run>.pdf\` | of the runs that were asked for; \`data/files.jsonl\` has each picture's SHA-256 |
| \`chain/entries.jsonl\` | entries of the record, one a line: \`body\` as it was hashed, \`hash\`, \`seq\` |
| \`chain/checkpoints.jsonl\`, \`chain/public-keys.pem\` | signed statements of how far the record went, and the keys |

## The chain

Each act of the laboratory has one entry. Its hash is SHA-256 over the hash of the entry before (of the first one here:
\`chain.before\` in the manifest), a line feed and the body:

    printf '%s\\n%s' "$previous" "$body" | sha256sum

An entry's \`rows\` name each record that the act wrote, by table and id, with its SHA-256. That is the SHA-256 of the
record's line in \`data/\`, without the line feed at its end:

    grep '"id":"<id>"' data/events.jsonl | tr -d '\\n' | sha256sum
    grep '<id>' chain/entries.jsonl

\`kinds\` in the manifest says which file holds which table, and whether it is whole: then every row that the entries of the
period (\`period.first\` to \`period.last\`) name in that table is in it. Rows of older acts stand there as well where later
acts rest on them. A pack that is limited to some runs leaves rows out, which the chain still names.

## What is masked

Patients' identifiers and free words never stand in the chain. It names the hash of a row that holds the value with a random
salt. A masked pack leaves these rows out, so that nothing can be guessed from their hashes, and holds all other rows
unchanged. Equal identifiers have equal pseudonyms within one pack and others in another; the key that made them is gone.

## Checkpoints and the seal

A line of \`chain/checkpoints.jsonl\` and of \`manifest.seal.json\` is \`{"signature":…,"statement":…}\`: an Ed25519 signature
(RFC 8032), in Base64, over the bytes of \`statement\`. A checkpoint names \`seq\` and \`hash\` of the last entry that it covers;
the seal names \`manifest\`, the SHA-256 of \`manifest.json\`. A key's id is the first 16 digits of SHA-256 over its DER form.

    python3 -c 'import json; print(json.load(open("manifest.seal.json"))["statement"], end="")' > statement
    python3 -c 'import json; print(json.load(open("manifest.seal.json"))["signature"])' | base64 -d > signature
    openssl pkeyutl -verify -pubin -inkey key.pem -rawin -in statement -sigfile signature

The keys in the pack show only that the pack is of one piece. Compare their ids with a copy of the laboratory's public key
that came another way, and the checkpoints with those that were kept elsewhere. The laboratory's own record, after the pack
was made, names the manifest's SHA-256 as well.
`;
