"""Does one's own record go along whole, as tables, as JSON and with the sign-offs that count?"""

import csv
import io
import json
import zipfile

from django.urls import reverse

from tests.training.shop import NOW, found, make_ready
from training.exchange.credential.checking import check
from training.records.keeping import head


def taken(client, person):
    client.force_login(person, backend="training.access.sign_in.ShopBackend")
    answer = client.get(reverse("training:own-files"))
    assert answer["Content-Type"] == "application/zip"
    return zipfile.ZipFile(io.BytesIO(answer.content))


def test_tables_and_json_say_the_same_and_the_sign_off_proves_itself(client, shop):
    found(shop.mechanic, shop.level, shop.owner)
    packed = taken(client, shop.mechanic)
    told = json.loads(packed.read("record/record.json"))
    assert told["book"]["head"] == head()[1]
    for name, rows in told["records"].items():
        table = io.StringIO(packed.read(f"record/{name}.csv").decode())
        assert list(csv.DictReader(table)) == rows
    (along,) = [name for name in packed.namelist() if name.startswith("record/credentials/")]
    assert check(packed.read(along), now=NOW, name=shop.mechanic.name).holds


def test_nobody_elses_record_is_in_it(client, shop):
    make_ready(shop, shop.trainee)
    packed = taken(client, shop.mechanic)
    everything = b"".join(packed.read(name) for name in packed.namelist())
    assert shop.trainee.login.encode() not in everything
    assert shop.trainee.name.encode() not in everything
