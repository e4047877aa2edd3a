package fallaway.app.android

import android.annotation.SuppressLint
import android.content.Context
import android.content.res.Configuration
import fallaway.app.Count
import fallaway.app.Say
import fallaway.app.Texts
import java.util.Locale

/** The same, in a language of the person's choice; in the phone's if it is `null`. */
fun Context.speaking(language: String?): Context =
    if (language == null) {
        this
    } else {
        createConfigurationContext(Configuration(resources.configuration).apply { setLocale(Locale.forLanguageTag(language)) })
    }

/** The app's texts from Android's resources, in a language of the person's choice or the phone's. */
class AndroidTexts(context: Context, language: String?) : Texts {
    private val resources = context.speaking(language).resources
    private val at = context.packageName

    // By name, so that the view models know nothing of Android; a test asks that every name is there.
    @SuppressLint("DiscouragedApi")
    private fun id(name: String, kind: String) = resources.getIdentifier(name.lowercase(Locale.ROOT), kind, at)

    override fun text(say: Say, with: List<Any>): String =
        resources.getString(id(say.name, "string")).let { if (with.isEmpty()) it else it.format(Locale.ROOT, *with.toTypedArray()) }

    override fun count(say: Count, number: Int): String =
        resources.getQuantityText(id(say.name, "plurals"), number).toString().format(Locale.ROOT, number)
}
