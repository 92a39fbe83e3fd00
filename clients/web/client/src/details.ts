// Details of errors, as google.rpc packs them beside the code.

import { BinaryReader, WireType } from "@bufbuild/protobuf/wire";
import { ConnectError } from "@connectrpc/connect";

/** detailsOf gives the encoded details of one type, such as "google.rpc.RetryInfo". */
export function detailsOf(error: unknown, type: string): Uint8Array[] {
  return ConnectError.from(error).details.flatMap((d) => ("type" in d && d.type === type ? [d.value] : []));
}

/** fieldsOf gives the values of a message's field that is a message or a text, as they are encoded. */
export function fieldsOf(message: Uint8Array, number: number): Uint8Array[] {
  const out: Uint8Array[] = [];
  const reader = new BinaryReader(message);
  while (reader.pos < reader.len) {
    const [field, kind] = reader.tag();
    if (field === number && kind === WireType.LengthDelimited) out.push(reader.bytes());
    else reader.skip(kind);
  }
  return out;
}
