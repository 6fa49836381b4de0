"""A headless Chromium driven over the DevTools protocol, as the cross-checks of HTML pages need it."""
import base64
import json
import pathlib
import shutil
import subprocess
import tempfile
import time

import websocket

BROWSERS = ["chromium", "chromium-browser", "google-chrome"]
FLAGS = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--hide-scrollbars",
         "--disable-background-networking", "--disable-component-update", "--disable-sync", "--disable-dev-shm-usage",
         "--force-device-scale-factor=1", "--remote-debugging-port=0", "--remote-allow-origins=*"]
PATIENCE = 120  # seconds; a loaded machine takes its time


def browser():
    return next(filter(None, map(shutil.which, BROWSERS)), None)


class Page:
    """One tab. What went wrong in it is gathered in `errors`, what it asked for in `requests`."""

    def __init__(self):
        self.folder = tempfile.TemporaryDirectory(ignore_cleanup_errors=True)
        self.process = subprocess.Popen([browser(), *FLAGS, f"--user-data-dir={self.folder.name}", "about:blank"],
                                        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        self.count, self.errors, self.requests, self.events = 0, [], [], []
        port = self.port()
        import urllib.request
        tabs = json.load(urllib.request.urlopen(f"http://127.0.0.1:{port}/json", timeout=PATIENCE))
        tab = next(t for t in tabs if t["type"] == "page")
        self.socket = websocket.create_connection(tab["webSocketDebuggerUrl"], timeout=PATIENCE)
        for domain in ["Page", "Runtime", "Log", "Network"]:
            self.call(f"{domain}.enable")

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.socket.close()
        self.process.terminate()
        self.process.wait(PATIENCE)
        self.folder.cleanup()

    def port(self):
        told = pathlib.Path(self.folder.name) / "DevToolsActivePort"
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end:
            if told.exists() and told.read_text().strip():
                return int(told.read_text().split()[0])
            time.sleep(0.1)
        raise RuntimeError("the browser did not start")

    def call(self, method, **params):
        self.count += 1
        self.socket.send(json.dumps({"id": self.count, "method": method, "params": params}))
        while True:
            said = json.loads(self.socket.recv())
            if said.get("id") == self.count:
                if "error" in said:
                    raise RuntimeError(f"{method}: {said['error']}")
                return said["result"]
            self.hear(said)

    def hear(self, event):
        kind, params = event["method"], event["params"]
        self.events.append(kind)
        if kind == "Runtime.exceptionThrown":
            self.errors.append(params["exceptionDetails"].get("text", "exception"))
        elif kind == "Runtime.consoleAPICalled" and params["type"] in ("error", "warning", "assert"):
            self.errors.append(str(params["args"]))
        elif kind == "Log.entryAdded" and params["entry"]["level"] in ("error", "warning"):
            self.errors.append(params["entry"]["text"])
        elif kind == "Network.requestWillBeSent":
            self.requests.append(params["request"]["url"])

    def open(self, path, width=1280, height=900, phone=False):
        self.call("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1, mobile=phone)
        self.events.clear()
        self.call("Page.navigate", url=pathlib.Path(path).resolve().as_uri())
        end = time.monotonic() + PATIENCE
        while "Page.loadEventFired" not in self.events:
            self.hear(json.loads(self.socket.recv()))
            if time.monotonic() > end:
                raise RuntimeError("the page did not load")

    def ask(self, expression):
        """The value of a JavaScript expression."""
        got = self.call("Runtime.evaluate", expression=expression, returnByValue=True, awaitPromise=True)
        if "exceptionDetails" in got:
            raise RuntimeError(f"{expression}: {got['exceptionDetails']}")
        return got["result"].get("value")

    def mouse(self, kind, x, y, **more):
        self.call("Input.dispatchMouseEvent", type=kind, x=x, y=y, **more)

    def click(self, x, y):
        self.mouse("mouseMoved", x, y)
        self.mouse("mousePressed", x, y, button="left", buttons=1, clickCount=1)
        self.mouse("mouseReleased", x, y, button="left", clickCount=1)

    def picture(self, path, whole=True):
        data = self.call("Page.captureScreenshot", format="png", captureBeyondViewport=whole)["data"]
        pathlib.Path(path).write_bytes(base64.b64decode(data))

    def paper(self, path):
        data = self.call("Page.printToPDF", paperWidth=8.27, paperHeight=11.69, preferCSSPageSize=True, printBackground=False)
        pathlib.Path(path).write_bytes(base64.b64decode(data["data"]))
