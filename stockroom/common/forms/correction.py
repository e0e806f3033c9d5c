"""Saying what was wrong with a line that is corrected by an opposite one."""

from django import forms


class OppositeForm(forms.Form):
    why = forms.CharField(max_length=200, label="What was wrong")
