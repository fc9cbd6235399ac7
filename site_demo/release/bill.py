"""The bill of materials (CycloneDX 1.6, JSON): what is shipped, and what only builds, tests and checks, from the lock files.

Nothing in it depends on the machine: not on what is installed, not on the clock.
"""

import base64
import json
import re
import uuid
from collections.abc import Iterable, Iterator

from cyclonedx.contrib.license.factories import LicenseFactory
from cyclonedx.model import HashAlgorithm, HashType, Property
from cyclonedx.model.bom import Bom, BomMetaData
from cyclonedx.model.component import Component, ComponentScope, ComponentType
from cyclonedx.output.json import JsonV1Dot6
from packageurl import PackageURL

from site_demo.setup_env import GROUPS, REQUIREMENTS
from site_demo.stamps import ROOT

from .licences import Part
from .origin import Origin

# Licences of the Python packages: their locks do not name them. A test compares it with what the packages say.
LICENCES = REQUIREMENTS / "licences.json"
# What each group of requirements is for, in one word.
PURPOSE = {
    "site": "build",
    "node": "build",
    "release": "release",
    "checks": "check",
    "lock": "lock",
    "tests": "test",
    "soak": "test",
    "mutants": "test",
}
_PINNED = re.compile(r"^([\w.-]+)==([\w.+!-]+)", re.MULTILINE)
_HASH = re.compile(r"--hash=sha256:([0-9a-f]{64})")
_NAMESPACE = uuid.uuid5(uuid.NAMESPACE_URL, "pkg:generic/spillmark")


def _component(
    name: str, version: str, licence: str, purl: PackageURL, *, used: str, hashes: Iterable[HashType] = ()
) -> Component:
    shipped = used == "shipped"
    return Component(
        type=ComponentType.LIBRARY,
        name=name,
        version=version or None,
        bom_ref=purl.to_string(),
        purl=purl,
        scope=ComponentScope.REQUIRED if shipped else ComponentScope.EXCLUDED,
        hashes=hashes,
        licenses=[LicenseFactory().make_from_string(licence)],
        properties=[Property(name="spillmark:used-to", value="ship" if shipped else used)],
    )


def python_packages() -> Iterator[Component]:
    """Every pinned Python package. Its hashes are those of all its published files, one for each kind of machine."""
    licences: dict[str, str] = json.loads(LICENCES.read_text("utf-8"))
    for group in GROUPS:
        # What stands before the first pin is the head that its tool writes.
        blocks = re.split(r"^(?=[\w.-]+==)", (REQUIREMENTS / f"{group}.txt").read_text("utf-8"), flags=re.MULTILINE)[1:]
        for block in blocks:
            pinned = _PINNED.match(block)
            assert pinned is not None
            name, version = pinned.groups()
            hashes = [HashType(alg=HashAlgorithm.SHA_256, content=each) for each in _HASH.findall(block)]
            purl = PackageURL("pypi", name=name, version=version)
            yield _component(name, version, licences[name], purl, used=PURPOSE[group], hashes=hashes)


def npm_packages() -> Iterator[Component]:
    """Every pinned npm package, those for other machines too."""
    packages = json.loads((ROOT / "package-lock.json").read_text("utf-8"))["packages"]
    for path, said in packages.items():
        if not path:
            continue
        full = path.rsplit("node_modules/", 1)[1]
        namespace, _, name = full.rpartition("/")
        purl = PackageURL("npm", namespace or None, name, said["version"])
        algorithm, _, digest = said["integrity"].partition("-")
        assert algorithm == "sha512"
        hashes = [HashType(alg=HashAlgorithm.SHA_512, content=base64.b64decode(digest).hex())]
        used = "test" if said.get("dev") else "build"
        yield _component(full, said["version"], said["license"], purl, used=used, hashes=hashes)


def _shipped(part: Part, pinned: dict[str, Component]) -> Component:
    bare = PackageURL.from_string(part.purl)
    purl = PackageURL(bare.type, bare.namespace, bare.name, part.version or None)
    known = pinned.get(purl.to_string())
    return _component(part.name, part.version, part.licence, purl, used="shipped", hashes=known.hashes if known else ())


def bill(version: str, origin: Origin, build: str, shipped: Iterable[Part]) -> str:
    """The bill's text. build: the name of the site's build, which makes the serial number."""
    pinned = {str(each.bom_ref.value): each for each in reversed([*python_packages(), *npm_packages()])}
    made = {part.name: (part, _shipped(part, pinned)) for part in shipped}
    components = {**pinned, **{str(each.bom_ref.value): each for _, each in made.values()}}
    program = Component(
        type=ComponentType.APPLICATION,
        name="spillmark",
        version=version,
        bom_ref=f"pkg:generic/spillmark@{version}",
        purl=PackageURL("generic", name="spillmark", version=version),
        licenses=[LicenseFactory().make_from_string("MIT")],
        properties=[Property(name="spillmark:commit", value=origin.told), Property(name="spillmark:site-build", value=build)],
    )
    bom = Bom(
        serial_number=uuid.uuid5(_NAMESPACE, f"{version} {origin.told} {build}"),
        metadata=BomMetaData(component=program, timestamp=origin.when),
        components=components.values(),
    )
    bom.register_dependency(program, [each for part, each in made.values() if not part.inside])
    for name, (_, each) in made.items():
        bom.register_dependency(each, [inner for part, inner in made.values() if part.inside == name])
    return JsonV1Dot6(bom).output_as_string(indent=1) + "\n"
