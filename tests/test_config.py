"""The files in config/ that other programs read, each given to the program that it is for."""

from __future__ import annotations

import re
import shutil
import ssl
import subprocess
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from paho.mqtt.client import Client, MQTTMessage
from paho.mqtt.enums import CallbackAPIVersion

from lullwort.collector import Packet
from lullwort.settings import Settings, load_settings
from lullwort.tend.routes import Routes

CONFIG = Path(__file__).parents[1] / "config"
WAIT_S = 20.0
CellarBroker = Any  # the fixture's class lives in conftest.py


class User:
    """A client of that broker; `kept_as` names a session that the broker keeps while it is away."""

    def __init__(self, cellar_broker: CellarBroker, name: str, kept_as: str = "") -> None:
        self.heard: list[tuple[str, bytes]] = []
        self.happened = threading.Condition()
        self.answers = 0
        self.client = Client(CallbackAPIVersion.VERSION2, kept_as, clean_session=not kept_as)
        self.client.username_pw_set(name, f"{name}-word")
        self.client.on_subscribe = self.client.on_connect = self._answered
        self.client.on_publish = self.client.on_disconnect = self._answered
        self.client.on_message = self._heard
        self.client.connect("127.0.0.1", cellar_broker.port)
        self.client.loop_start()
        self.wait(lambda: self.answers == 1)

    def _answered(self, *_: object) -> None:
        with self.happened:
            self.answers += 1
            self.happened.notify_all()

    def _heard(self, _client: Client, _data: object, message: MQTTMessage) -> None:
        with self.happened:
            self.heard.append((message.topic, bytes(message.payload)))
            self.happened.notify_all()

    def wait(self, for_what: Callable[[], object]) -> None:
        with self.happened:
            assert self.happened.wait_for(for_what, WAIT_S)

    def subscribe(self, topic: str) -> None:
        """Returns after the broker has answered, and with it all that was asked before."""
        before = self.answers
        self.client.subscribe(topic, qos=1)
        self.wait(lambda: self.answers > before)

    def publish(self, topic: str, payload: str) -> None:
        """Returns after the broker has taken it, or broken off because it may not be."""
        before = self.answers
        self.client.publish(topic, payload, qos=1)
        self.wait(lambda: self.answers > before)

    def leave(self) -> None:
        self.client.disconnect()
        self.client.loop_stop()


def test_the_broker_keeps_all_for_a_client_that_is_away_and_over_a_power_cut(cellar_broker: CellarBroker) -> None:
    # more than the 1,000 that mosquitto 2.0 keeps unless it is told otherwise [man mosquitto.conf, max_queued_messages]
    sent = [f"{number}".encode() for number in range(1500)]
    keeper = User(cellar_broker, "lullwort", kept_as="keeper")
    keeper.subscribe("lullwort/readings/#")
    keeper.leave()
    sensor = User(cellar_broker, "sensors")
    waiting = [sensor.client.publish("lullwort/readings/a", payload, qos=1) for payload in sent]
    for each in waiting:
        each.wait_for_publish(WAIT_S)
    sensor.subscribe("nothing")  # it saves between two things that it is asked
    cellar_broker.kill()
    sensor.leave()
    cellar_broker.start()
    keeper = User(cellar_broker, "lullwort", kept_as="keeper")
    keeper.wait(lambda: len(keeper.heard) >= len(sent))
    keeper.leave()
    assert [payload for _, payload in keeper.heard] == sent


def test_a_sensor_cannot_say_that_beer_is_ready_and_a_viewer_cannot_send_readings(cellar_broker: CellarBroker) -> None:
    users = [User(cellar_broker, name) for name in ("lullwort", "sensors", "viewer", "sensors", "viewer")]
    lullwort, sensor, viewer, forging_sensor, forging_viewer = users
    lullwort.subscribe("lullwort/#")
    viewer.subscribe("lullwort/#")
    forging_sensor.publish("lullwort/verdicts/north", "forged")
    forging_viewer.publish("lullwort/readings/north", "forged")
    sensor.publish("lullwort/readings/north", "reading")
    lullwort.publish("lullwort/verdicts/north", "ready")
    lullwort.wait(lambda: len(lullwort.heard) == 2)
    viewer.wait(lambda: viewer.heard)
    for user in users:
        user.leave()
    assert lullwort.heard == [("lullwort/readings/north", b"reading"), ("lullwort/verdicts/north", b"ready")]
    assert viewer.heard == [("lullwort/verdicts/north", b"ready")]


@pytest.mark.parametrize("name", ["lullwort.service", "Containerfile"])
def test_what_starts_the_service_gives_it_only_variables_that_it_knows(name: str) -> None:
    text = (CONFIG / name).read_text(encoding="utf-8")
    given = dict(re.findall(r"\b(LULLWORT_\w+)=(\S+)", text))
    assert given == {
        "LULLWORT_SETTINGS": "/etc/lullwort/settings.toml", "LULLWORT_BOOK": "/var/lib/lullwort/cellar.book"
    }  # fmt: skip
    settings = load_settings({**given, "LULLWORT_SETTINGS": str(CONFIG / "settings.toml")})
    assert str(settings.book) == given["LULLWORT_BOOK"]


@pytest.mark.skipif(
    shutil.which("openssl") is None, reason="left out: making certificates, for openssl is not installed"
)
def test_the_certificates_prove_the_board_to_whoever_trusts_its_authority_and_to_nobody_else(tmp_path: Path) -> None:
    script = ["sh", str(CONFIG / "certificates.sh")]
    made_for = [*script, "cellar.local", "127.0.0.1"]
    for _ in range(2):  # the second renews the board's under the same authority
        subprocess.run(made_for, cwd=tmp_path, check=True, capture_output=True, timeout=WAIT_S)
    board = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    board.load_cert_chain(tmp_path / "board.crt", tmp_path / "board.key")
    phone = ssl.create_default_context(cafile=tmp_path / "cellar-ca.crt")
    phone.verify_flags |= ssl.VERIFY_X509_STRICT  # what later versions of Python ask by default
    for name in ("cellar.local", "127.0.0.1"):
        assert shook_hands(board, phone, name) is None
    assert "Hostname mismatch" in str(shook_hands(board, phone, "other.local"))
    assert "unable to get local issuer" in str(shook_hands(board, ssl.create_default_context(), "cellar.local"))
    assert (tmp_path / "board.key").stat().st_mode & 0o077 == 0
    assert subprocess.run(script, cwd=tmp_path, check=False, capture_output=True, timeout=WAIT_S).returncode == 2


def shook_hands(board: ssl.SSLContext, phone: ssl.SSLContext, name: str) -> ssl.SSLError | None:
    """Nothing if `phone` believes that `board` is `name`, else why not. In memory, without a network."""
    to_board, to_phone = ssl.MemoryBIO(), ssl.MemoryBIO()
    ends = [
        phone.wrap_bio(to_phone, to_board, server_hostname=name),
        board.wrap_bio(to_board, to_phone, server_side=True),
    ]
    while ends:
        for end in list(ends):
            try:
                end.do_handshake()
                ends.remove(end)
            except ssl.SSLWantReadError:
                continue
            except ssl.SSLError as exc:
                return exc
    return None


def test_readings_posted_as_it_is_written_are_read_and_go_where_they_should() -> None:
    text = (CONFIG / "from-board-to-alert.md").read_text(encoding="utf-8")
    (command,) = (block for block in text.split("```") if block.lstrip().startswith("curl") and "/readings" in block)
    (body,) = re.findall("-d '(.*)'", command)
    (vessel,) = re.findall(r'`(\{"n": "vessel".*?\})`', text)
    assert "Content-Type: application/senml+json" in command  # as RFC 8428, section 12.3.1, registers it
    routes = Routes.of(Settings(Path("x"), "sg", "C", "UTC", vessel_of={"float-1": "north"}))
    for pack, found in ((body, "north"), (body.replace("float-1", "float-2").replace("]", f", {vessel}]"), "north")):
        packet = Packet("http", "http:/readings", pack.encode(), 1_772_442_000_000_000)
        ((block, set_aside),) = routes.decode(packet).parts
        assert set_aside == []
        assert [block.vessels[code] for code in block.vessel_codes] == [found]
