"""With which pass mark are the chances of a quiz worked out?"""

from django import forms


class PassMarkForm(forms.Form):
    percent = forms.IntegerField(label="Pass mark in percent", min_value=0, max_value=100)
