// slipfit for TypeScript: typed calls with a deadline, retries where asking twice
// does no harm, and a basket whose newest state alone is asked about.

export { connect, type ConnectOptions, type Slipfit, type CallOptions } from "./connect.js";
export { Basket, type BasketOptions } from "./basket.js";
export { violationsOf, type FieldViolation } from "./violations.js";
export * from "../gen/slipfit/v1/build_pb.js";
export * from "../gen/slipfit/v1/check_service_pb.js";
export * from "../gen/slipfit/v1/fact_pb.js";
export * from "../gen/slipfit/v1/finding_pb.js";
export * from "../gen/slipfit/v1/pack_service_pb.js";
export * from "../gen/slipfit/v1/part_pb.js";
export * from "../gen/slipfit/v1/sheet_service_pb.js";
export * from "../gen/slipfit/v1/shortlist_service_pb.js";
export { create, fromJson, toJson } from "@bufbuild/protobuf";
export { Code, ConnectError } from "@connectrpc/connect";
