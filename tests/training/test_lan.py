"""Does the site serve a shop's network safely, and does a phone that trusts its certificate get
whole pages?

Certificates are checked by OpenSSL, through Python's ssl module: a program that did not make them.
Nothing here listens on any address but 127.0.0.1.
"""

import contextlib
import datetime
import os
import re
import shutil
import signal
import socket
import ssl
import stat
import subprocess
import time
import urllib.error
import urllib.request

import pytest
from django.core.exceptions import ImproperlyConfigured
from django.core.management import call_command
from django.core.management.base import CommandError

from procedures.records.refused import Refused
from tests.training.shop import NOW
from training.exchange.machine.certificates import LASTS, certificates, renew
from training.management.commands.serve import _sort_out
from training.management.serving import must_be_free
from training.site import static_files

DAY = datetime.timedelta(days=1)
NAMES, ADDRESSES = ["bench-pc", "bench-pc.local", "localhost"], ["192.168.1.20", "127.0.0.1"]


def ask(address, trusting=None):
    context = ssl.create_default_context(cafile=str(trusting) if trusting else None)
    # An opener of its own, which asks no proxy that the environment may name.
    opener = urllib.request.build_opener(
        urllib.request.ProxyHandler({}), urllib.request.HTTPSHandler(context=context)
    )
    with opener.open(address, timeout=30) as answer:
        return answer, answer.read().decode(errors="replace")


def told(server, until):
    lines = []
    for line in server.stdout:
        lines.append(line)
        if until in line:
            return "".join(lines)
    raise AssertionError("".join(lines) + server.stderr.read())


def wait_for(address, server):
    for _ in range(200):
        try:
            socket.create_connection(address, timeout=1).close()
            return
        except OSError:
            assert server.poll() is None, server.stderr.read()
            with pytest.raises(subprocess.TimeoutExpired):
                server.wait(0.1)


# What Windows lacks is taken away from every process that Python starts (site, 3.11 docs: a module
# sitecustomize on the path is imported before the program).
WITHOUT_POSIX = """
import os, signal, sys
for name in ("gunicorn", "fcntl", "grp", "pwd", "resource", "termios", "pysqlite3"):
    sys.modules[name] = None
for name in ("chown", "execve", "fchmod", "fork", "getuid", "geteuid", "killpg", "mkfifo"):
    delattr(os, name)
for name in ("SIGHUP", "SIGALRM", "SIGKILL", "SIGQUIT"):
    delattr(signal, name)
"""


@contextlib.contextmanager
def on_the_network(place, monkeypatch, tmp_path, *, like_windows):
    """A shop that is served on its network, on this machine's own address: the port, what was
    said, and the process.
    """
    if like_windows:
        shutil.rmtree(place.home / "static")  # that it is collected at the start is tried once
        (tmp_path / "sitecustomize.py").write_text(WITHOUT_POSIX, encoding="utf-8")
        monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    with socket.create_server(("127.0.0.1", 0)) as probe:
        port = probe.getsockname()[1]
    server = place.start(
        *("manage.py", "serve", "--lan", "--bind", "127.0.0.1", "--port", str(port))
    )
    try:
        said = told(server, "Stop with")
        wait_for(("127.0.0.1", port), server)
        yield port, said, server
    finally:
        server.send_signal(signal.SIGTERM)
        server.communicate(timeout=60)


@pytest.mark.any_database
@pytest.mark.parametrize("like_windows", [False, True])
def test_a_shop_is_on_its_network_with_one_command(place, tmp_path, monkeypatch, like_windows):
    with on_the_network(place, monkeypatch, tmp_path, like_windows=like_windows) as found:
        port, said, server = found
        site, authority = f"https://127.0.0.1:{port}", place.home / "lan" / "authority.pem"
        assert f"Address: {site}/" in said
        assert "█" in said  # the code for phones
        # Somebody who connects and says nothing keeps nobody out.
        with contextlib.ExitStack() as silent:
            for _ in range(3):
                silent.enter_context(socket.create_connection(("127.0.0.1", port)))
            answer, page = ask(f"{site}/sign-in/", authority)
        assert "Strict-Transport-Security" not in answer.headers
        assert "Secure" in answer.headers["Set-Cookie"]
        style = re.search(r'href="(/static/benchright/look\.\w+\.css)"', page)[1]
        assert "--ink" in ask(site + style, authority)[1]
        fingerprint = re.search(r"SHA-256\): ([0-9A-F:]{95})", said)[1]
        assert fingerprint in ask(f"{site}/trust/", authority)[1].replace("<wbr>", "")
        with pytest.raises(urllib.error.URLError, match="CERTIFICATE_VERIFY_FAILED"):
            ask(f"{site}/sign-in/")
        for name in ("authority.key", "site.pem"):
            mode = stat.S_IMODE((place.home / "lan" / name).stat().st_mode)
            assert mode == 0o600 or os.name != "posix"
    assert server.returncode == (-signal.SIGTERM if like_windows else 0)
    until_nobody_listens(port)  # the server goes with the command that started it


LOADED = """
import sys
import training.site.wsgi
from django.db import connections
print("training.views.home" in sys.modules, [one.connection for one in connections.all()])
"""


def test_a_worker_is_copied_with_the_pages_and_without_a_line_to_the_database(place):
    """Both databases warn of a line that was opened before a fork: PostgreSQL's manual, in the
    chapter of libpq on connecting; SQLite's, in "How to corrupt", 2.6 (from memory).
    """
    place.more |= {
        "BENCHRIGHT_PRODUCTION": "yes",  # then the database is asked for made-up people
        "BENCHRIGHT_SECRET": "c" * 64,
        "BENCHRIGHT_HOSTS": "bench.example",
    }
    done = place.python("-c", LOADED)
    assert (done.stdout, done.stderr) == ("True [None]\n", "")


def test_a_worker_is_copied_with_the_file_of_the_records_in_mind(place):
    """Also where nothing is asked of the database before: on this machine alone."""
    file = "'' if not opened_file._opened else 'known'"
    done = place.python(
        "-c", f"import training.site.wsgi\nfrom training.records import opened_file\nprint({file})"
    )
    assert (done.stdout, done.stderr) == ("\n" if place.url else "known\n", "")


def until_nobody_listens(port):
    for _ in range(200):
        try:
            socket.create_connection(("127.0.0.1", port), timeout=1).close()
        except OSError:
            return
        time.sleep(0.1)
    raise AssertionError("the server is still there")


@pytest.mark.any_database
def test_where_ports_can_be_shared_the_port_is_asked_for_alone(monkeypatch):
    """Windows: SO_REUSEADDR would let a second program take the port; SO_EXCLUSIVEADDRUSE does not
    (Winsock's own words). Here the name stands for an option that Linux does not know.
    """
    taken = socket.create_server(("127.0.0.1", 0))
    with taken, pytest.raises(CommandError, match="cannot be used"):
        must_be_free(taken.getsockname()[1])
    monkeypatch.setattr(socket, "SO_EXCLUSIVEADDRUSE", 9999, raising=False)
    with pytest.raises(OSError, match="Protocol not available"):
        must_be_free(0)


@pytest.mark.any_database
def test_the_certificate_stays_until_it_is_due_and_fits_what_it_is_asked_for(tmp_path):
    first = certificates(tmp_path, NAMES, ADDRESSES, NOW)
    kept = first.site.read_bytes()
    again = certificates(tmp_path, NAMES, ADDRESSES[1:], NOW + 300 * DAY)
    assert (again.site.read_bytes(), again.is_new, first.is_new) == (kept, False, True)
    renew(first.site, NOW + LASTS - 30 * DAY)
    newer = first.site.read_bytes()
    assert newer != kept
    assert certificates(tmp_path, NAMES, [*ADDRESSES, "10.0.0.7"], NOW).fingerprint == (
        first.fingerprint
    )
    assert first.site.read_bytes() != newer  # a new address of the machine


@pytest.mark.any_database
def test_its_authority_vouches_for_no_site_on_the_internet(tmp_path):
    for names, addresses in ((["bank.example"], []), (["bench-pc"], ["203.0.113.5"])):
        certificates(tmp_path, NAMES, ADDRESSES, NOW)
        with pytest.raises(Refused, match="was made for other names"):
            certificates(tmp_path, names, addresses, NOW)


@pytest.mark.any_database
def test_an_address_outside_the_local_networks_keeps_no_shop_from_its_own():
    """Addresses of documentation (RFC 5737), of a carrier (RFC 6598) and of networks of one's own
    (RFC 1918).
    """
    assert _sort_out(["192.0.2.2", "192.168.1.20", "100.64.0.9"]) == (
        ["192.168.1.20"],
        ["192.0.2.2", "100.64.0.9"],
    )
    assert _sort_out([]) == ([], [])
    with pytest.raises(CommandError, match=r"192\.0\.2\.2 is outside every local network"):
        _sort_out(["192.0.2.2"])


@pytest.mark.any_database
def test_openssl_refuses_a_name_that_the_authority_may_not_sign(tmp_path, monkeypatch):
    """RFC 5280, 4.2.1.10: what whoever stole the key could make is not believed."""
    monkeypatch.setattr("training.exchange.machine.certificates._check_local", lambda *_: None)
    made = certificates(tmp_path, ["bench-pc"], ADDRESSES, datetime.datetime.now(datetime.UTC))
    stolen = certificates(tmp_path, ["bank.example"], [], datetime.datetime.now(datetime.UTC))
    assert _is_believed(made.authority, stolen.site, "bank.example") is False
    fair = certificates(tmp_path, ["bench-pc"], [], datetime.datetime.now(datetime.UTC))
    assert _is_believed(made.authority, fair.site, "bench-pc") is True


def _is_believed(authority, site, name):
    """Whether a client that trusts the authority takes the site for this name, all in memory."""
    serving = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    serving.load_cert_chain(site)
    asking = ssl.create_default_context(cafile=str(authority))
    to_server, to_client = ssl.MemoryBIO(), ssl.MemoryBIO()
    client = asking.wrap_bio(to_client, to_server, server_hostname=name)
    server = serving.wrap_bio(to_server, to_client, server_side=True)
    for _ in range(6):
        for side in (client, server):
            try:
                side.do_handshake()
            except ssl.SSLWantReadError:
                pass
            except ssl.SSLCertVerificationError:
                return False
    return client.cipher() is not None


def test_the_demo_and_an_empty_place_stay_off_the_network(db, shop):
    shop.workshop.is_demo = True
    shop.workshop.save()
    with pytest.raises(CommandError, match="demo shop"):
        call_command("serve", lan=True, bind="127.0.0.1", port=1)


@pytest.mark.any_database
def test_static_files_that_were_not_collected_are_collected_or_told(settings, monkeypatch):
    monkeypatch.setattr(static_files, "is_any_missing", lambda: True)
    called = []
    monkeypatch.setattr(static_files, "call_command", lambda *names, **_: called.append(names))
    static_files.collect_missing()
    assert called == [("collectstatic",)]

    def full(*_, **__):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(static_files, "call_command", full)
    with pytest.raises(ImproperlyConfigured, match=r"manage\.py collectstatic"):
        static_files.collect_missing()
