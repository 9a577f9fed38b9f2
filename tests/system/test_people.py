"""A room begins with a code, not with a password; what a PIN leaves behind; a PIN that was lost."""

import os
import pathlib
import re
import stat
import subprocess
import unittest

import processes
import room
import settings


class People(room.RoomTest):
    def setUp(self):
        super().setUp()
        self.shop = self.room(with_scanner=False)

    def opened(self, **more):
        self.kiosk = self.shop.open(**more)
        return self.kiosk

    def code_file(self):
        """Beside the ledger, where that is a file."""
        return pathlib.Path(f"{self.shop.ledger.path}.code") if hasattr(self.shop.ledger, "path") else None

    def enrol(self, content, code):
        return self.kiosk.act("enrol", content, approval={"code": code})

    def issue(self, pin, person=None):
        return self.kiosk.act("pin-issue", {"person": person or self.maren}, self.maren,
                              approval={"person": self.maren, "pin": pin})

    def test_the_code_is_told_where_the_kiosk_is_started_and_dies_with_its_use(self):
        kiosk = self.opened()
        self.assertRegex(kiosk.code, r"^[2-9A-HJ-NP-Z]{4}-[2-9A-HJ-NP-Z]{4}$")
        file = self.code_file()
        if file:
            self.assertEqual(stat.S_IMODE(os.stat(file).st_mode), 0o600)
            self.assertEqual(file.read_text(), kiosk.code + "\n")
        refused = kiosk.act("person-entry", {"name": "Eve", "role": "storekeeper"})
        self.assertEqual(refused.status, 422, refused)
        self.assert_sentence(refused["detail"], "no storekeeper yet", "page Room", "code")
        wrong = self.enrol({"name": "Eve"}, "2222-2222")
        self.assertEqual((wrong.status, wrong["code"]), (403, "approval"))
        first = self.enrol({"name": "Maren"}, kiosk.code)
        self.assertEqual(first.status, 200, first)
        self.assertRegex(first["pin"], r"^\d{6}$")
        self.assertEqual(self.enrol({"name": "Eve"}, kiosk.code).status, 403)
        self.assertFalse(file and file.exists())
        self.assertEqual(kiosk.end(), 0)
        self.maren = first["serial"]
        kiosk = self.opened()  # the second start has no code: somebody has a PIN
        self.assertIsNone(kiosk.code)
        self.assertFalse(file and file.exists())
        self.assertEqual(self.issue(first["pin"]).status, 200)
        self.assertEqual(kiosk.end(), 0)
        self.assert_clean(self.shop)

    def test_an_unused_code_is_another_one_at_the_next_start(self):
        first = self.opened().code
        self.assertEqual(self.kiosk.end(), 0)
        self.assertFalse(self.code_file() and self.code_file().exists())
        self.kiosk = self.opened()
        self.assertNotEqual(self.kiosk.code, first)
        self.assertEqual(self.enrol({"name": "Eve"}, first).status, 403)

    def test_a_lost_pin_is_made_anew_by_whoever_can_start_the_kiosk(self):
        kiosk = self.opened()
        first = self.enrol({"name": "Maren"}, kiosk.code)
        self.maren = first["serial"]
        self.assertEqual(kiosk.end(), 0)
        kiosk = self.opened(enrol=True)
        refused = self.enrol({"name": "Eve"}, kiosk.code)  # not for another one in her stead
        self.assertEqual(refused.status, 422, refused)
        again = self.enrol({"person": self.maren}, kiosk.code)
        self.assertEqual(again.status, 200, again)
        self.assertEqual(self.issue(first["pin"]).status, 403)
        self.assertEqual(self.issue(again["pin"]).status, 200)
        self.assertEqual(kiosk.end(), 0)
        self.assert_clean(self.shop)

    def test_wrong_pins_make_wait_across_a_restart(self):
        kiosk = self.opened()
        first = self.enrol({"name": "Maren"}, kiosk.code)
        self.maren, pin = first["serial"], first["pin"]
        wrong = f"{(int(pin) + 1) % 1000000:06}"
        said = [self.issue(wrong)["detail"] for _ in range(3)]
        self.assert_sentence(said[2], "wait 30 seconds")
        self.assertEqual(kiosk.end(), 0)
        self.opened()
        refused = self.issue(pin)
        self.assertEqual(refused.status, 403, refused)
        self.assert_sentence(refused["detail"], "too many wrong tries", "wait")
        self.assertEqual(self.kiosk.end(), 0)

    def test_a_pin_is_in_no_log_export_or_ledger_and_an_imported_ledger_has_none(self):
        kiosk = self.opened()
        first = self.enrol({"name": "Maren"}, kiosk.code)
        self.maren, code = first["serial"], kiosk.code
        second = self.issue(first["pin"])
        self.issue(first["pin"])  # no longer right
        self.assertEqual(kiosk.end(), 0)
        exported = self.shop.command("export", self.shop.ledger.address).stdout
        texts = [exported.decode(), self.shop.log_text()]
        if self.code_file():
            texts.append(pathlib.Path(self.shop.ledger.path).read_bytes().decode("latin-1"))
        for text in texts:
            for secret in (first["pin"], second["pin"], code):
                self.assertIsNone(re.search(rf"(?<![0-9A-Za-z]){re.escape(secret)}(?![0-9A-Za-z])", text), secret)
        self.assertNotIn("argon2", exported.decode())
        self.assertIn("pin-issue", exported.decode())
        other = self.shop.folder / "other.db"
        self.assertEqual(self.shop.command("import", str(other), input=exported).returncode, 0)
        config = self.shop.folder / "other.ini"
        config.write_text(f"[ledger]\naddress = {other}\n[web]\nport = 0\n")
        process = processes.start([settings.PROGRAM, "serve", "--config", config], settings.SANITIZERS,
                                  stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
        line = process.stdout.readline().decode()  # nobody has a PIN in there: a code for the storekeeper it has
        self.assertEqual(processes.end(process), 0)
        process.stdout.close()
        self.assertIn("Code for the first storekeeper's PIN", line)


if __name__ == "__main__":
    unittest.main()
