"""Where does a web server take hold of the site?"""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "training.site.settings")
application = get_wsgi_application()
