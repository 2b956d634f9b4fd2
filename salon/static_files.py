"""Static files under names that hold a hash of what is in them, so that a browser keeps them until they change.

Stylesheets point at other files by the hashed names; here our own JavaScript modules do so too. Django can rewrite
imports, but only in all files or none, and then stops at a library's file that mentions a module it did not bring.
"""

from django.contrib.staticfiles.storage import HashedFilesMixin
from whitenoise.storage import CompressedManifestStaticFilesStorage

OUR_MODULES = "js/*.js"  # the star also stands for folders below; libraries lie in folders of their own
RELATIVE_IMPORT = r"""(?P<matched>(?P<before>\b(?:from|import)\s*\(?\s*)["'](?P<url>\.\.?/[^"']+)["'])"""


class HashedStaticFiles(CompressedManifestStaticFilesStorage):
    """Hashed names, compressed copies, and `from "./x.js"` and `import("./x.js")` rewritten in static/js.

    Modules that import each other in a circle have no hash, for each would depend on the other's: collectstatic stops.
    """

    patterns = (*HashedFilesMixin.patterns, (OUR_MODULES, ((RELATIVE_IMPORT, '%(before)s"%(url)s"'),)))
