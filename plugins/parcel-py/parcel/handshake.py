"""How a host starts a pack and finds it: go-plugin's handshake, for any pack.

The host starts the process with a cookie in its environment, the versions of the pack
protocol that it speaks, a folder for a Unix socket, and its own certificate. The pack
serves gRPC on a socket in that folder, with a certificate made for this one life, and
prints one line:

    1|PROTOCOL|unix|SOCKET|grpc|CERTIFICATE

Everything else that it prints belongs on standard error.
"""

import base64
import datetime
import os
import sys
import threading
from concurrent import futures

import grpc
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID

COOKIE = ("SLIPFIT_PACK", "slipfit.pack.v1")
HANDSHAKE_FORM = 1
# Limits of one message in bytes: what a host sends, and what it takes.
MAX_REQUEST = 8 << 20
MAX_ANSWER = 4 << 20


def started_by_host():
    """Whether a host started this process, and not a person by hand."""
    return os.environ.get(COOKIE[0]) == COOKIE[1]


def settle(spoken):
    """The newest version of the pack protocol that both sides speak.

    spoken are the pack's versions. A host that names none speaks the first. Where the
    two have none in common, the pack's oldest is told, and the host says what to do.
    """
    offered = {int(v) for v in os.environ.get("PLUGIN_PROTOCOL_VERSIONS", "1").split(",")}
    return max(offered & set(spoken), default=min(spoken))


def serve(handlers, protocol):
    """Serves gRPC handlers until the host closes this process's standard input."""
    # Handlers run on threads of this pool: standing streams hold one each.
    server = grpc.server(
        futures.ThreadPoolExecutor(max_workers=16),
        options=[
            ("grpc.max_receive_message_length", MAX_REQUEST),
            ("grpc.max_send_message_length", MAX_ANSWER),
        ],
    )
    server.add_generic_rpc_handlers(handlers)
    socket = os.path.join(os.environ.get("PLUGIN_UNIX_SOCKET_DIR", "/tmp"), "pack")
    certificate = ""
    host = os.environ.get("PLUGIN_CLIENT_CERT", "")
    if host:
        certificate, credentials = _credentials(host.encode())
        server.add_secure_port("unix:" + socket, credentials)
    else:
        server.add_insecure_port("unix:" + socket)
    server.start()
    print(HANDSHAKE_FORM, protocol, "unix", socket, "grpc", certificate, sep="|", flush=True)
    _wait_for_the_host_to_go()
    server.stop(grace=None)


def _wait_for_the_host_to_go():
    """Returns when standard input ends, where the host says that it keeps it open."""
    if os.environ.get("SLIPFIT_PACK_WATCH_STDIN") == "1":
        while sys.stdin.buffer.read(4096):
            pass
        return
    threading.Event().wait()


def _credentials(host):
    """A certificate for this one life, and what lets in the bearer of the host's only.

    The first is what the handshake carries: DER in base64 without padding.
    """
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "localhost")])
    now = datetime.datetime.utcnow()
    certificate = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - datetime.timedelta(minutes=1))
        .not_valid_after(now + datetime.timedelta(days=3650))
        .add_extension(x509.SubjectAlternativeName([x509.DNSName("localhost")]), critical=False)
        .add_extension(x509.BasicConstraints(ca=True, path_length=None), critical=True)
        .sign(key, hashes.SHA256())
    )
    private = key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    der = certificate.public_bytes(serialization.Encoding.DER)
    credentials = grpc.ssl_server_credentials(
        [(private, certificate.public_bytes(serialization.Encoding.PEM))],
        root_certificates=host,
        require_client_auth=True,
    )
    return base64.b64encode(der).decode().rstrip("="), credentials
