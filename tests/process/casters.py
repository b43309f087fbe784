"""A caster of our own on loopback, and frames of a base: what the tests of corrections are answered with."""

import socket
import ssl
import threading
from pathlib import Path

CERTIFICATES = Path(__file__).parent / "certificates"


def crc24q(data):
    crc = 0
    for byte in data:
        crc ^= byte << 16
        for _ in range(8):
            crc <<= 1
            if crc & 0x1000000:
                crc ^= 0x1864CFB
    return crc


def frame(fields):
    """An RTCM 3 frame of (value, bits) fields."""
    bits = "".join(format(value & ((1 << size) - 1), f"0{size}b") for value, size in fields)
    bits += "0" * (-len(bits) % 8)
    body = int(bits, 2).to_bytes(len(bits) // 8, "big")
    whole = b"\xd3" + len(body).to_bytes(2, "big") + body
    return whole + crc24q(whole).to_bytes(3, "big")


def observations(station):
    """Message 1077 with one satellite, as far as it is read."""
    return frame([(1077, 12), (station, 12), (1000, 30), (0, 18), (1, 32), (0, 32), (1, 32), (0, 64)])


def position(station, ecef_m=(1114104.5999, -4850729.7108, 3975521.4643), computed=False):
    """Message 1005."""
    x, y, z = (round(metres * 10_000) for metres in ecef_m)
    return frame([(1005, 12), (station, 12), (0, 6), (1, 1), (0, 2), (int(computed), 1), (x, 38), (0, 2), (y, 38), (0, 2), (z, 38)])


class Caster:
    """Takes connections one after the other and does with each what the test says next.

    `answers` is a list of functions of (connection, request text); the last one serves all that follow.
    """

    def __init__(self, *answers, certificate=None, greeting=b""):
        self.answers, self.greeting = list(answers), greeting
        self.requests, self.sent_up = [], b""
        self.connections = 0
        self.context = None
        if certificate:
            self.context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
            self.context.load_cert_chain(CERTIFICATES / f"{certificate}.pem")
        self.listener = socket.socket()
        self.listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        self.listener.bind(("127.0.0.1", 0))
        self.listener.listen()
        self.port = self.listener.getsockname()[1]
        self.open = []
        self.thread = threading.Thread(target=self.serve, daemon=True)
        self.thread.start()

    def serve(self):
        while True:
            try:
                connection, _ = self.listener.accept()
            except OSError:
                return
            answer = self.answers[min(self.connections, len(self.answers) - 1)]
            self.connections += 1
            threading.Thread(target=self.handle, args=(connection, answer), daemon=True).start()

    def handle(self, connection, answer):
        try:
            if self.context:
                connection = self.context.wrap_socket(connection, server_side=True)
            self.open.append(connection)
            if self.greeting:
                connection.sendall(self.greeting)
            request = b""
            while b"\r\n\r\n" not in request:
                piece = connection.recv(4096)
                if not piece:
                    return
                request += piece
            head, _, rest = request.partition(b"\r\n\r\n")
            self.requests.append(head.decode())
            self.sent_up += rest
            answer(self, connection)
        except OSError:
            pass

    def hear(self, connection):
        """What the client sends up until it goes."""
        try:
            while piece := connection.recv(4096):
                self.sent_up += piece
        except OSError:
            pass

    def send(self, data):
        """To the client that connected last."""
        self.open[-1].sendall(data)

    def drop(self):
        for connection in self.open:
            try:
                connection.shutdown(socket.SHUT_RDWR)
            except OSError:
                pass
            connection.close()
        self.open.clear()

    def close(self):
        self.drop()
        # A thread that waits in accept is not woken by closing alone.
        try:
            self.listener.shutdown(socket.SHUT_RDWR)
        except OSError:
            pass
        self.listener.close()


def streams(head):
    """Answers so, then listens; the test sends what it wants."""

    def answer(caster, connection):
        connection.sendall(head)
        caster.hear(connection)

    return answer


def says(text):
    """Answers so and closes."""

    def answer(_, connection):
        connection.sendall(text)
        connection.shutdown(socket.SHUT_WR)
        connection.close()

    return answer


def silent(caster, connection):
    caster.hear(connection)


def hangs_up(_, connection):
    connection.close()


ICY = b"ICY 200 OK\r\n\r\n"
PLAIN_V2 = b"HTTP/1.1 200 OK\r\nNtrip-Version: Ntrip/2.0\r\nContent-Type: gnss/data\r\n\r\n"
CHUNKED_V2 = b"HTTP/1.1 200 OK\r\nNtrip-Version: Ntrip/2.0\r\nContent-Type: gnss/data\r\nTransfer-Encoding: chunked\r\n\r\n"


def chunk(data):
    return f"{len(data):x}\r\n".encode() + data + b"\r\n"
