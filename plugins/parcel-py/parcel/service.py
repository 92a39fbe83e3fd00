"""slipfit.pack.v1.PackService and grpc.health.v1, for a list of rules."""

import grpc

from slipfit.pack.v1 import pack_service_pb2 as protocol
from slipfit.v1 import check_service_pb2, finding_pb2

from . import judge

SERVICE = "slipfit.pack.v1.PackService"
HEALTH = "grpc.health.v1.Health"
# HealthCheckResponse{status: SERVING}, encoded: field 1, varint, 1.
SERVING = b"\x08\x01"


class Pack:
    """A pack: its name, version and rules, and the facts that it needs.

    wants are those among needs that others work out only when they are wanted.
    """

    def __init__(self, name, version, purpose, needs, wants, rules):
        self.name, self.version, self.purpose = name, version, purpose
        self.needs, self.wants, self.rules = needs, wants, rules

    def describe(self, request, _context):
        """Answers Describe in the version of the protocol in which it is asked."""
        return protocol.DescribeResponse(
            name=self.name,
            version=self.version,
            protocol=min(request.protocol or 1, 2),
            purpose=self.purpose,
            rules=[rule.describe(self) for rule in self.rules],
            needs=self.needs,
            wants=self.wants,
        )

    def evaluate(self, requests, _context):
        """Answers batches until the host closes the stream."""
        for request in requests:
            yield protocol.EvaluateResponse(
                batch=request.batch, outcomes=[self._outcome(task) for task in request.tasks]
            )

    def _outcome(self, task):
        """One check's answer. A check that cannot be read at all is an error."""
        try:
            case = judge.Case(task)
        except Exception as broken:
            return protocol.Outcome(error=f"pack {self.name} cannot read the check: {broken}")
        findings, counts = [], []
        for rule in self.rules:
            found = rule.judge_safely(self, case)
            findings += found
            counts += [sum(f.verdict == v for f in found) for v in judge.VERDICTS]
        return protocol.Outcome(
            findings=check_service_pb2.CheckResponse(findings=findings).SerializeToString(),
            verdict=max((f.verdict for f in findings), default=finding_pb2.VERDICT_PASS),
            counts=counts,
        )

    def handlers(self):
        """The gRPC handlers of the pack and of its health."""
        return (
            grpc.method_handlers_generic_handler(
                SERVICE,
                {
                    "Describe": grpc.unary_unary_rpc_method_handler(
                        self.describe,
                        protocol.DescribeRequest.FromString,
                        protocol.DescribeResponse.SerializeToString,
                    ),
                    "Evaluate": grpc.stream_stream_rpc_method_handler(
                        self.evaluate,
                        protocol.EvaluateRequest.FromString,
                        protocol.EvaluateResponse.SerializeToString,
                    ),
                },
            ),
            grpc.method_handlers_generic_handler(
                HEALTH, {"Check": grpc.unary_unary_rpc_method_handler(lambda _request, _context: SERVING)}
            ),
        )
