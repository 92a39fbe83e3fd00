"""The process of the pack "parcel", as its twin plugins/parcel is in Go."""

import sys

from parcel import handshake


def main():
    if not handshake.started_by_host():
        sys.exit(
            'This is the rule pack "parcel". It answers a host and cannot be run by hand; '
            "start the server or the command line instead."
        )
    # After the cookie, so that a person who tries it by hand need not have gRPC.
    from parcel import rules

    handshake.serve(rules.PARCEL.handlers(), handshake.settle((1, 2)))


main()
