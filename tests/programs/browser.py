# SPDX-License-Identifier: Apache-2.0
"""A headless browser for tests of the report page, driven through its debugging pipe."""
import base64
import json
import os
import pathlib
import select
import shutil
import subprocess
import tempfile
import time

NAMES = ["chromium", "chromium-headless-shell", "chromium-browser"]
FLAGS = ["--headless", "--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader",
         "--remote-debugging-pipe", "--disable-extensions", "--no-first-run",
         "--disable-background-networking", "--disable-component-update",
         "--host-resolver-rules=MAP * ~NOTFOUND"]


def program():
    """Path of a browser on this machine, or None."""
    return next(filter(None, map(shutil.which, NAMES)), None)


class Browser:
    """Opens one page; what the page logs, throws or asks the network for is kept."""

    def __init__(self, width=1280, height=900, flags=()):
        self.profile = tempfile.mkdtemp()
        to_read, self._write = os.pipe()
        self._read, to_write = os.pipe()

        def put_pipes():
            for source, target in [(os.dup(to_read), 3), (os.dup(to_write), 4)]:
                os.dup2(source, target)
                os.set_inheritable(target, True)

        self._process = subprocess.Popen(
            [program(), *FLAGS, *flags, f"--user-data-dir={self.profile}",
             f"--window-size={width},{height}", "about:blank"],
            preexec_fn=put_pipes, close_fds=False, stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL)
        os.close(to_read)
        os.close(to_write)
        self._bytes, self._number, self._session = b"", 0, None
        self.complaints, self.addresses = [], []
        target = self._call("Target.createTarget", url="about:blank")["targetId"]
        self._session = self._call("Target.attachToTarget", targetId=target,
                                   flatten=True)["sessionId"]
        for domain in ["Page", "Runtime", "Log", "Network"]:
            self._call(f"{domain}.enable")
        self.resize(width, height)

    def __enter__(self):
        return self

    def __exit__(self, *_):
        try:
            self._session = None
            self._call("Browser.close")
        except (OSError, RuntimeError):
            self._process.kill()
        self._process.wait(timeout=60)
        os.close(self._write)
        os.close(self._read)
        shutil.rmtree(self.profile, ignore_errors=True)

    def _message(self, deadline):
        while b"\0" not in self._bytes:
            left = deadline - time.monotonic()
            if left <= 0 or not select.select([self._read], [], [], left)[0]:
                raise RuntimeError("the browser does not answer")
            more = os.read(self._read, 1 << 16)
            if not more:
                raise RuntimeError("the browser has ended")
            self._bytes += more
        one, self._bytes = self._bytes.split(b"\0", 1)
        return json.loads(one)

    def _keep(self, message):
        method, told = message.get("method"), message.get("params", {})
        if method == "Runtime.exceptionThrown":
            detail = told["exceptionDetails"]
            self.complaints.append(detail.get("exception", {}).get("description", detail["text"]))
        elif method == "Runtime.consoleAPICalled" and told["type"] in ("error", "warning"):
            self.complaints.append(" ".join(str(a.get("value", a.get("description")))
                                            for a in told["args"]))
        elif method == "Log.entryAdded" and told["entry"]["level"] == "error":
            self.complaints.append(told["entry"]["text"])
        elif method == "Network.requestWillBeSent":
            self.addresses.append(told["request"]["url"])

    def _call(self, method, timeout=120, **params):
        self._number += 1
        message = {"id": self._number, "method": method, "params": params}
        if self._session:
            message["sessionId"] = self._session
        os.write(self._write, json.dumps(message).encode() + b"\0")
        deadline = time.monotonic() + timeout
        while True:
            answer = self._message(deadline)
            if answer.get("id") == self._number:
                if "error" in answer:
                    raise RuntimeError(f"{method}: {answer['error']['message']}")
                return answer["result"]
            self._keep(answer)

    def resize(self, width, height):
        self._call("Emulation.setDeviceMetricsOverride", width=width, height=height,
                   deviceScaleFactor=1, mobile=False)

    def without_scripts(self):
        self._call("Emulation.setScriptExecutionDisabled", value=True)

    def open(self, path):
        self._call("Page.navigate", url=pathlib.Path(path).resolve().as_uri())
        self.wait_for("location.protocol === 'file:' && document.readyState === 'complete'")

    def run(self, script, timeout=120):
        """Value of an expression in the page; promises are awaited."""
        answer = self._call("Runtime.evaluate", timeout=timeout, expression=script,
                            awaitPromise=True, returnByValue=True)
        if "exceptionDetails" in answer:
            raise RuntimeError(answer["exceptionDetails"]["exception"].get("description"))
        return answer["result"].get("value")

    def press(self, key, code):
        """Presses and releases a key in what has the focus; `code` is its virtual key code."""
        text = {"text": "\r"} if key == "Enter" else {}
        for kind in ["keyDown", "keyUp"]:
            self._call("Input.dispatchKeyEvent", type=kind, key=key, code=key,
                       windowsVirtualKeyCode=code, **(text if kind == "keyDown" else {}))

    def accessible(self, roles):
        """(role, name) of everything with one of the roles, as the browser tells a screen reader."""
        nodes = self._call("Accessibility.getFullAXTree")["nodes"]
        return [(node["role"]["value"], node.get("name", {}).get("value", "")) for node in nodes
                if not node.get("ignored") and node.get("role", {}).get("value") in roles]

    def wait_for(self, script, seconds=120):
        """Waits until an expression in the page is true."""
        deadline = time.monotonic() + seconds
        while time.monotonic() < deadline:
            if self.run(f"Boolean({script})"):
                return
            time.sleep(0.1)
        raise RuntimeError(f"not true within {seconds} s: {script}; {self.complaints}")

    def picture(self, path, whole=True):
        answer = self._call("Page.captureScreenshot", format="png", captureBeyondViewport=whole)
        pathlib.Path(path).write_bytes(base64.b64decode(answer["data"]))

    def paper(self, path):
        answer = self._call("Page.printToPDF", printBackground=True, paperWidth=8.27,
                            paperHeight=11.69)
        pathlib.Path(path).write_bytes(base64.b64decode(answer["data"]))
