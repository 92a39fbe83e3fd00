// Package shelf knows the folder of external packs: what its manifest may say, who
// has signed it, and that it is not older than what was seen before.
//
// The folder holds the packs' programs, one manifest (packs.yaml) that names each
// with its version and SHA-256, and the manifest's signature (packs.yaml.minisig),
// so that one signature covers everything and a pack can be neither slipped in nor
// left out. The manifest bears a revision, which may only rise: a floor, kept
// outside the folder, refuses an older manifest although its signature is good, and
// another one under the same number. A pack is one file, so that one digest covers all
// of it: a program, or an archive or a script that an interpreter of the keeper's choice
// runs. Archives of several packs are not taken, and nothing is ever unpacked.
//
// Read only reads and checks. Whoever runs the packs records the revision with
// [Floor.Raise] once they serve.
package shelf
