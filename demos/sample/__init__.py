"""The invented school: who works there. The rest is loaded by `demos.sample.school`."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Person:
    """`role` is the name of the Django group."""

    username: str
    first_name: str
    last_name: str
    role: str

    @property
    def full_name(self) -> str:
        return f"{self.first_name} {self.last_name}"


HEAD = Person("adeyemi", "Marguerite", "Adeyemi", "Department head")
TEACHERS = (
    Person("lindqvist", "Tomasz", "Lindqvist", "Teacher"),
    Person("castellan", "Priya", "Castellan", "Teacher"),
    Person("harrowby", "Owen", "Harrowby", "Teacher"),
    Person("thornbury", "Mei", "Thornbury", "Teacher"),
)
TECHNICIANS = (
    Person("fenwick", "Rosa", "Fenwick", "Technician"),
    Person("brandt", "Dilan", "Brandt", "Technician"),
)
PEOPLE = (HEAD, *TEACHERS, *TECHNICIANS)

#: those whose passwords are printed when the school is started, one for each role
SIGN_INS = (HEAD, TEACHERS[0], TECHNICIANS[0])
