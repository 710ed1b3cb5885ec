"""What goes in and comes out of the server's part of ``lab.app``."""

from stainbook.permit import LEAD as LEAD
from stainbook.permit import READER as READER
from stainbook.permit import ROLES as ROLES
from stainbook.permit import TECHNICIAN as TECHNICIAN
from stainbook.work.app.server_settings import SETTINGS as SETTINGS
from stainbook.work.app.server_settings import OpenId as OpenId
from stainbook.work.app.server_settings import ServerSettings as ServerSettings
from stainbook.work.app.sign_in import Gate as Gate
from stainbook.work.app.sign_in import Signed as Signed
