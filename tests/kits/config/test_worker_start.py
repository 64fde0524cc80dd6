"""A web worker starts and serves its first pages without the slow libraries of the calculations."""

import json
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[3]
SLOW = ("CoolProp", "matplotlib", "weasyprint", "scipy.optimize", "scipy.integrate", "openpyxl")
SCRIPT = """
import json, sys
from kits.config import prepare
from kits.config.wsgi import application
"""
