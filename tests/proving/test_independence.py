"""The worlds must not know the method that is tried in them; nor may the score."""

from tests.test_layers import ROOT, imported_modules, python_files

MAY_SEE_THE_PRODUCT = {"product.py"}


def test_worlds_import_nothing_of_the_project_but_themselves():
    wrong = [
        f"{path.name} imports {module}"
        for path in python_files("farmops/proving/worlds")
        for module in imported_modules(path)
        if module.startswith("farmops") and not module.startswith("farmops.proving.worlds")
    ]
    assert wrong == []


def test_only_the_product_policy_and_commands_reach_the_method():
    wrong = [
        f"{path.relative_to(ROOT)} imports {module}"
        for path in python_files("farmops/proving")
        if not {"commands", "speed"} & set(path.parts) and path.name not in MAY_SEE_THE_PRODUCT
        for module in imported_modules(path)
        if module.startswith(("farmops.core.demand", "farmops.exchange.stream"))
    ]
    assert wrong == []
